//! One branch circuit by itself: its supply holds the voltage at its head whatever it takes, so that
//! circuits feel each other only through the loads that move between them.

use std::ops::Range;

use num_complex::Complex64;

use crate::graph::{ElementId, Graph};

use super::loads::Loads;
use super::network::Network;
use super::sweep::{CREEPS, MOST_SWEEPS, SETTLED, State, has_collapsed, load_current};

/// A branch circuit with all that hangs on it.
pub struct Branch<'a> {
    network: &'a Network,
    /// All its elements, the circuit itself first.
    pub elements: Range<u32>,
    /// All their conductors, those of the circuit itself first.
    pub conductors: Range<usize>,
    /// Where its inlets hang, in the order of the elements.
    pub taps: Vec<BranchTap>,
    has_harmonics: bool,
}

/// Where an inlet's load hangs on a branch.
#[derive(Clone, Copy, Debug)]
pub struct BranchTap {
    /// The inlet.
    pub inlet: u32,
    /// The cord or leg that feeds it.
    pub element: ElementId,
    /// Places among the conductors of the branch between which it hangs.
    from: usize,
    to: usize,
    /// Share of third harmonic in its current.
    third_harmonic: f64,
}

/// What solving a branch shows besides its state.
#[derive(Clone, Copy, Debug)]
pub struct Solved {
    /// Third-harmonic current that it puts on the neutral of its supply, in amperes.
    pub harmonic_to_supply: f64,
    /// Whether every load keeps its voltage.
    pub holds: bool,
    /// Sweeps that it took.
    pub sweeps: usize,
}

impl<'a> Branch<'a> {
    /// The branch of a circuit.
    pub fn new(graph: &Graph, network: &'a Network, loads: &Loads, circuit: ElementId) -> Self {
        let elements = graph.below(circuit);
        let conductors = graph.conductors_below(circuit);
        let tap = |element: u32| {
            let inlet = network.inlet_of[element as usize];
            let tap = network.taps.get(inlet as usize).copied().flatten()?;
            Some(BranchTap {
                inlet,
                element: ElementId(element),
                from: tap.from as usize - conductors.start,
                to: tap.to as usize - conductors.start,
                third_harmonic: loads.third_harmonic[inlet as usize],
            })
        };
        let taps: Vec<BranchTap> = elements.clone().filter_map(tap).collect();
        Self {
            network,
            has_harmonics: taps.iter().any(|tap| tap.third_harmonic > 0.0),
            elements,
            conductors,
            taps,
        }
    }

    /// The tap that a cord or leg is; `None` if it is none of this branch.
    pub fn tap_of(&self, element: ElementId) -> Option<usize> {
        let found = self.taps.binary_search_by_key(&element, |tap| tap.element);
        found.ok()
    }

    /// The branch with no load on it.
    pub fn unloaded(&self) -> State {
        let count = self.conductors.len();
        State {
            current: vec![Complex64::ZERO; count],
            voltage: self.network.unloaded[self.conductors.clone()].to_vec(),
            harmonic: vec![0.0; count],
        }
    }

    /// Solves the branch with what each tap takes, from the voltages that stand in `state`.
    pub fn solve(&self, powers: &[Complex64], state: &mut State) -> Solved {
        let (mut moved, mut left, mut sweeps) = (0.0, f64::INFINITY, 0);
        // One sweep more shows whether what has not settled still moves.
        while sweeps <= MOST_SWEEPS {
            sweeps += 1;
            self.backward(powers, state);
            let before = moved;
            moved = self.forward(state);
            // Each sweep leaves about the same share of what the one before it left.
            left = if before > moved {
                moved * moved / before
            } else {
                moved
            };
            if left < SETTLED {
                break;
            }
        }
        self.backward(powers, state);
        let harmonic_to_supply = self.harmonics(powers, state);
        Solved {
            harmonic_to_supply,
            holds: left < CREEPS && self.keeps_its_voltage(powers, state),
            sweeps,
        }
    }

    fn keeps_its_voltage(&self, powers: &[Complex64], state: &State) -> bool {
        let full = &self.network.unloaded[self.conductors.clone()];
        let mut loaded = self.taps.iter().zip(powers);
        !loaded.any(|(tap, power)| {
            let across = |volts: &[Complex64]| volts[tap.from] - volts[tap.to];
            *power != Complex64::ZERO && has_collapsed(across(&state.voltage), across(full))
        })
    }

    /// Place among the conductors of the branch of what feeds a conductor; `None` for the supply's.
    fn feeders(&self) -> impl DoubleEndedIterator<Item = Option<usize>> + ExactSizeIterator + '_ {
        let first = self.conductors.start;
        let feeders = self.network.feeder[self.conductors.clone()].iter();
        feeders.map(move |&feeder| (feeder as usize).checked_sub(first))
    }

    fn backward(&self, powers: &[Complex64], state: &mut State) {
        let State {
            current, voltage, ..
        } = state;
        current.fill(Complex64::ZERO);
        for (tap, &power) in self.taps.iter().zip(powers) {
            let taken = load_current(power, voltage[tap.from] - voltage[tap.to]);
            current[tap.from] += taken;
            current[tap.to] -= taken;
        }
        for (at, feeder) in self.feeders().enumerate().rev() {
            if let Some(feeder) = feeder {
                let taken = current[at];
                current[feeder] += taken;
            }
        }
    }

    /// The largest relative change of any voltage.
    fn forward(&self, state: &mut State) -> f64 {
        let State {
            current, voltage, ..
        } = state;
        let unloaded = &self.network.unloaded[self.conductors.clone()];
        let resistance = &self.network.resistance[self.conductors.clone()];
        let weight = &self.network.weight[self.conductors.clone()];
        let mut moved = 0f64;
        for (at, feeder) in self.feeders().enumerate() {
            let source = feeder.map_or(unloaded[at], |feeder| voltage[feeder]);
            let new = source - current[at] * resistance[at];
            moved = moved.max((new - voltage[at]).norm_sqr() * weight[at]);
            voltage[at] = new;
        }
        moved.sqrt()
    }

    /// Third harmonics of each shared neutral: those of all lines are in phase and add up. What reaches
    /// the supply is returned.
    fn harmonics(&self, powers: &[Complex64], state: &mut State) -> f64 {
        let mut to_supply = 0.0;
        if !self.has_harmonics {
            return to_supply;
        }
        state.harmonic.fill(0.0);
        let (first, network) = (self.conductors.start, self.network);
        let loads = self.taps.iter().zip(powers);
        for (tap, &power) in loads.filter(|(tap, _)| tap.third_harmonic > 0.0) {
            let across = state.voltage[tap.from] - state.voltage[tap.to];
            let taken = load_current(power, across).norm() * tap.third_harmonic;
            let mut at = first + tap.to;
            while at >= first {
                if network.shared_neutral[at] {
                    state.harmonic[at - first] += taken;
                }
                at = network.feeder[at] as usize;
            }
            if network.shared_neutral[at] {
                to_supply += taken;
            }
        }
        to_supply
    }
}
