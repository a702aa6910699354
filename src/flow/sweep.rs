//! Forward-backward sweep: currents from the loads up to the supply, voltages from the supply down
//! to the loads, again and again until nothing moves.

use std::ops::Range;

use num_complex::Complex64;

use super::network::{NONE, Network};

/// Relative change of a load's voltage below which the sweep has settled.
pub const SETTLED: f64 = 1e-9;
/// The same above which what has not settled is no longer taken to creep towards its end.
pub const CREEPS: f64 = 1e-6;
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

    /// Apparent power that conductors deliver together at their far end, in volt-amperes.
    pub fn power(&self, conductors: Range<usize>) -> f64 {
        self.complex_power(conductors).norm()
    }

    /// The same in watts and vars.
    pub fn complex_power(&self, conductors: Range<usize>) -> Complex64 {
        let each = conductors.map(|at| self.voltage[at] * self.current[at].conj());
        each.sum()
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

/// Whether a load's voltage has gone.
pub fn has_collapsed(now: Complex64, full: Complex64) -> bool {
    now.norm_sqr() < COLLAPSED * COLLAPSED * full.norm_sqr()
}
