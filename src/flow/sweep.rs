//! Forward-backward sweep: currents from the loads up to the supply, voltages from the supply down
//! to the loads, again and again until nothing moves.

use num_complex::Complex64;

use super::loads::Loads;
use super::network::{NONE, Network};

/// Relative change of a load's voltage below which the sweep has settled.
pub const SETTLED: f64 = 1e-9;
/// Sweeps after which a voltage that still moves is taken to have collapsed.
pub const MOST_SWEEPS: usize = 100;
/// Share of its unloaded voltage below which a load is taken to have collapsed: far below any
/// voltage at which equipment runs, and above the point where constant power has no solution.
pub const COLLAPSED: f64 = 0.3;

/// Currents and voltages of every conductor in one state of the site.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// Current of each conductor, towards the load, in amperes (fundamental).
    pub current: Vec<Complex64>,
    /// Voltage at the far end of each conductor against the supply's neutral point, in volts.
    pub voltage: Vec<Complex64>,
    /// Third-harmonic current of each neutral, which adds up arithmetically, in amperes.
    pub harmonic: Vec<f64>,
}

impl State {
    /// R.m.s. current of a conductor, harmonics included.
    pub fn magnitude(&self, conductor: usize) -> f64 {
        let harmonic = self.harmonic[conductor];
        // Amperes are far from overflow: `hypot` would only be slower.
        (self.current[conductor].norm_sqr() + harmonic * harmonic).sqrt()
    }
}

/// Current that a load of constant `power` takes at `voltage`.
///
/// A voltage that has all but gone is kept away from zero, so that no infinity spreads; such a state
/// is reported as collapsed.
pub fn load_current(power: Complex64, voltage: Complex64) -> Complex64 {
    if power == Complex64::ZERO {
        return Complex64::ZERO;
    }
    let floor = 1e-3;
    let voltage = if voltage.norm_sqr() < floor * floor {
        Complex64::new(floor, 0.0)
    } else {
        voltage
    };
    (power / voltage).conj()
}

/// Solves the whole site; the second value tells for every conductor whether its load collapsed.
pub fn solve(network: &Network, loads: &Loads) -> (State, Vec<bool>) {
    let count = network.feeder.len();
    let mut state = State {
        current: vec![Complex64::ZERO; count],
        voltage: network.unloaded.clone(),
        harmonic: vec![0.0; count],
    };
    let mut settled = false;
    for _ in 0..MOST_SWEEPS {
        backward(network, loads, &mut state);
        if forward(network, &mut state) < SETTLED {
            settled = true;
            break;
        }
    }
    backward(network, loads, &mut state);
    // What has not settled shows itself in one sweep more: its voltage still moves.
    let unsettled = (!settled).then(|| state.voltage.clone());
    if !settled {
        forward(network, &mut state);
        backward(network, loads, &mut state);
    }
    harmonics(network, loads, &mut state);
    let collapsed = collapsed(network, loads, &state, unsettled.as_deref());
    (state, collapsed)
}

fn backward(network: &Network, loads: &Loads, state: &mut State) {
    state.current.fill(Complex64::ZERO);
    for (tap, &power) in network.taps.iter().zip(&loads.normal) {
        let Some(tap) = tap else { continue };
        let (from, to) = (tap.from as usize, tap.to as usize);
        let current = load_current(power, state.voltage[from] - state.voltage[to]);
        state.current[from] += current;
        state.current[to] -= current;
    }
    for at in (0..network.feeder.len()).rev() {
        let feeder = network.feeder[at];
        if feeder != NONE {
            let current = state.current[at];
            state.current[feeder as usize] += current;
        }
    }
}

/// The largest relative change of any voltage.
fn forward(network: &Network, state: &mut State) -> f64 {
    let mut moved = 0f64;
    for at in 0..network.feeder.len() {
        let feeder = network.feeder[at];
        let source = if feeder == NONE {
            network.unloaded[at]
        } else {
            state.voltage[feeder as usize]
        };
        let voltage = source - state.current[at] * network.resistance[at];
        moved = moved.max(change(network, at, voltage, state.voltage[at]));
        state.voltage[at] = voltage;
    }
    moved.sqrt()
}

/// Square of the relative change of a conductor's voltage. A neutral has none of its own to compare
/// with, so that its change counts in volts.
pub fn change(network: &Network, conductor: usize, new: Complex64, old: Complex64) -> f64 {
    (new - old).norm_sqr() / network.unloaded[conductor].norm_sqr().max(1.0)
}

fn harmonics(network: &Network, loads: &Loads, state: &mut State) {
    for (tap, &share) in network.taps.iter().zip(&loads.third_harmonic) {
        if let Some(tap) = tap.filter(|_| share > 0.0) {
            let current = state.current[tap.from as usize].norm() * share;
            add_harmonic(network, &mut state.harmonic, tap.to, current);
        }
    }
}

/// Adds third-harmonic current to the shared neutrals above a conductor. Loads between two lines
/// send none there: their third harmonics stay between the lines.
pub fn add_harmonic(network: &Network, harmonic: &mut [f64], conductor: u32, current: f64) {
    let mut at = conductor;
    while at != NONE {
        if network.shared_neutral[at as usize] {
            harmonic[at as usize] += current;
        }
        at = network.feeder[at as usize];
    }
}

/// For every tap whether its voltage has gone, or still moves from what it was a sweep `before`.
fn collapsed(
    network: &Network,
    loads: &Loads,
    state: &State,
    before: Option<&[Complex64]>,
) -> Vec<bool> {
    let mut collapsed = vec![false; network.feeder.len()];
    for (tap, &power) in network.taps.iter().zip(&loads.normal) {
        let Some(tap) = tap.filter(|_| power != Complex64::ZERO) else {
            continue;
        };
        let between = |volts: &[Complex64]| volts[tap.from as usize] - volts[tap.to as usize];
        let (now, full) = (between(&state.voltage), between(&network.unloaded));
        let moves = before.is_some_and(|before| still_moves(now, between(before)));
        collapsed[tap.from as usize] = has_collapsed(now, full) || moves;
    }
    collapsed
}

/// Whether a load's voltage has gone.
pub fn has_collapsed(now: Complex64, full: Complex64) -> bool {
    now.norm_sqr() < COLLAPSED * COLLAPSED * full.norm_sqr()
}

/// Whether a voltage differs from what it was a sweep before by more than slow settling explains.
fn still_moves(now: Complex64, before: Complex64) -> bool {
    (now - before).norm() > 1e-6 * before.norm()
}
