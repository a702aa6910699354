//! One branch circuit by itself: its supply holds the voltage at its head whatever it takes, so that
//! circuits feel each other only through the loads that move between them.

use std::borrow::Cow;
use std::ops::Range;

use num_complex::Complex64;

use crate::graph::{ElementId, Graph, Switch};

use super::loads::Loads;
use super::network::Network;
use super::sweep::{CREEPS, MOST_SWEEPS, SETTLED, State, has_collapsed, load_current};

/// A branch circuit with all that hangs on it.
pub struct Branch<'a> {
    network: &'a Network,
    /// What feeds it, where that is no supply: the first of two conductors that do not belong to it, and their
    /// voltages.
    source: Option<(usize, [Complex64; 2])>,
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
    /// Place among the conductors of the branch of the one that its current comes from.
    pub(super) from: usize,
    /// The same of the one that it returns to.
    pub(super) to: usize,
    /// Share of third harmonic in its current.
    pub(super) third_harmonic: f64,
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
        let (elements, conductors) = (graph.below(circuit), graph.conductors_below(circuit));
        Self::of(network, loads, (elements, conductors))
    }

    /// All behind a transfer switch, fed by these voltages.
    pub(super) fn behind(
        graph: &Graph,
        network: &'a Network,
        loads: &Loads,
        switch: &Switch,
        source: [Complex64; 2],
    ) -> Self {
        let first = graph.conductors_of(ElementId(switch.behind.start)).start;
        let last = graph.conductors_below(ElementId(switch.behind.end - 1)).end;
        let head = graph.conductors_of(switch.on).start;
        let parts = (switch.behind.clone(), first..last);
        Self {
            source: Some((head, source)),
            ..Self::of(network, loads, parts)
        }
    }

    fn of(
        network: &'a Network,
        loads: &Loads,
        (elements, conductors): (Range<u32>, Range<usize>),
    ) -> Self {
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
            source: None,
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

    /// The taps that hang among these elements.
    pub(super) fn taps_within(&self, elements: Range<u32>) -> Range<usize> {
        let before = |id: u32| self.taps.partition_point(|tap| tap.element.0 < id);
        before(elements.start)..before(elements.end)
    }

    /// Gives the current of a tap another share of third harmonic.
    pub(super) fn set_third_harmonic(&mut self, at: usize, share: f64) {
        self.taps[at].third_harmonic = share;
        self.has_harmonics = self.taps.iter().any(|tap| tap.third_harmonic > 0.0);
    }

    /// What the branch takes of its source by the first of the two conductors there, in amperes.
    pub(super) fn taken(&self, state: &State) -> Complex64 {
        let head = self.source.map_or(usize::MAX, |(head, _)| head);
        let feeders = self.network.feeder[self.conductors.clone()].iter();
        let currents = feeders.zip(&state.current);
        let taken = currents.filter(|(feeder, _)| **feeder as usize == head);
        taken.map(|(_, current)| current).sum()
    }

    /// Voltage of each conductor with no load.
    fn full(&self) -> Cow<'a, [Complex64]> {
        let network = self.network;
        let Some((head, source)) = self.source else {
            return Cow::Borrowed(&network.unloaded[self.conductors.clone()]);
        };
        let mut full: Vec<Complex64> = Vec::with_capacity(self.conductors.len());
        for at in self.conductors.clone() {
            let feeder = network.feeder[at] as usize;
            full.push(match feeder.checked_sub(self.conductors.start) {
                Some(own) => full[own],
                None => source[usize::from(feeder != head)],
            });
        }
        Cow::Owned(full)
    }

    /// Voltage between two of its conductors with no load on the supply, in volts.
    pub(super) fn unloaded_across(&self, from: usize, to: usize) -> f64 {
        let unloaded = &self.network.unloaded[self.conductors.clone()];
        (unloaded[from] - unloaded[to]).norm()
    }

    /// The branch with no load on it.
    pub fn unloaded(&self) -> State {
        let count = self.conductors.len();
        State {
            current: vec![Complex64::ZERO; count],
            voltage: self.full().into_owned(),
            harmonic: vec![0.0; count],
        }
    }

    /// Solves the branch with what each tap takes, from the voltages that stand in `state`.
    pub fn solve(&self, powers: &[Complex64], state: &mut State) -> Solved {
        let full = self.full();
        let (mut moved, mut left, mut sweeps) = (0.0, f64::INFINITY, 0);
        // One sweep more shows whether what has not settled still moves.
        while sweeps <= MOST_SWEEPS {
            sweeps += 1;
            self.backward(powers, state);
            let before = moved;
            moved = self.forward(&full, state);
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
            holds: left < CREEPS && self.keeps_its_voltage(&full, powers, state),
            sweeps,
        }
    }

    fn keeps_its_voltage(&self, full: &[Complex64], powers: &[Complex64], state: &State) -> bool {
        let mut loaded = self.taps.iter().zip(powers);
        !loaded.any(|(tap, power)| {
            let across = |volts: &[Complex64]| volts[tap.from] - volts[tap.to];
            *power != Complex64::ZERO && has_collapsed(across(&state.voltage), across(full))
        })
    }

    /// Place among the conductors of the branch of what feeds one of them; `None` for the supply's.
    pub(super) fn feeder(&self, at: usize) -> Option<usize> {
        let first = self.conductors.start;
        (self.network.feeder[first + at] as usize).checked_sub(first)
    }

    /// The same for all of them.
    pub(super) fn feeders(
        &self,
    ) -> impl DoubleEndedIterator<Item = Option<usize>> + ExactSizeIterator + '_ {
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
    fn forward(&self, full: &[Complex64], state: &mut State) -> f64 {
        let State {
            current, voltage, ..
        } = state;
        let resistance = &self.network.resistance[self.conductors.clone()];
        let weight = &self.network.weight[self.conductors.clone()];
        let mut moved = 0f64;
        for (at, feeder) in self.feeders().enumerate() {
            let source = feeder.map_or(full[at], |feeder| voltage[feeder]);
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
