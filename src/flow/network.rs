//! The site as a network of conductors: source voltages, resistances, and where each inlet hangs.

use super::low_end::LowEnd;
use num_complex::Complex64;

use crate::graph::{ElementId, ElementKind, Graph, Receiver};
use crate::model::Model;
use crate::model::circuits::Pole;
use crate::quantity::{Arrangement, InUnits, SystemMarking};

use super::impedance;

/// Order in which the lines reach their peak.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sequence {
    /// L1, L2, L3.
    Forward,
    /// L1, L3, L2.
    Reverse,
}

/// Where an inlet's load hangs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tap {
    /// The cord or leg that feeds it.
    pub element: ElementId,
    /// Conductor that the current comes from.
    pub from: u32,
    /// Conductor that it returns to.
    pub to: u32,
}

/// Conductors with their resistances and source voltages.
#[derive(Debug)]
pub struct Network {
    /// Feeder of each conductor; `u32::MAX` at a supply.
    pub feeder: Vec<u32>,
    /// Resistance of each conductor, in ohms.
    pub resistance: Vec<f64>,
    /// The same from its far end up to its supply.
    pub resistance_above: Vec<f64>,
    /// Voltage of each conductor with no load, at the low end of the supply's tolerance, in volts.
    pub unloaded: Vec<Complex64>,
    /// One over the square of a conductor's unloaded voltage: what a change of voltage weighs. A neutral
    /// has no voltage of its own to compare with, so that its change counts in volts.
    pub weight: Vec<f64>,
    /// Tap of each inlet; `None` if it is not fed or the poles could not be resolved.
    pub taps: Vec<Option<Tap>>,
    /// Inlet that each element feeds, be it on known poles or not; `u32::MAX` for none.
    pub inlet_of: Vec<u32>,
    /// Whether a conductor is the neutral of several lines, in which third harmonics add up.
    pub shared_neutral: Vec<bool>,
    nominal: Vec<Complex64>,
    sequence_matters: bool,
}

/// No feeder, no inlet.
pub const NONE: u32 = u32::MAX;

impl Network {
    /// The network of a site for one phase sequence.
    pub fn new(model: &Model, graph: &Graph, sequence: Sequence) -> Self {
        let count = graph.conductors().len();
        let feeder = graph
            .conductors()
            .iter()
            .map(|conductor| conductor.feeder.unwrap_or(NONE))
            .collect();
        let mut network = Self {
            feeder,
            resistance: impedance::resistances(model, graph),
            resistance_above: Vec::new(),
            unloaded: vec![Complex64::ZERO; count],
            weight: Vec::new(),
            nominal: vec![Complex64::ZERO; count],
            taps: vec![None; graph.links.inlets.len()],
            inlet_of: vec![NONE; graph.len()],
            shared_neutral: shared_neutrals(graph),
            sequence_matters: false,
        };
        network.hang_inlets(graph);
        network.energise(model, graph, sequence);
        network.resistance_above = network.resistances_above();
        network
    }

    /// Whether an element carries the load of an inlet and of nothing else: nothing is plugged into its device.
    pub fn is_load_alone(&self, graph: &Graph, id: ElementId) -> bool {
        self.inlet_of[id.index()] != NONE && graph.below(id).len() == 1
    }

    fn hang_inlets(&mut self, graph: &Graph) {
        for (id, _) in graph.elements() {
            let Some(&Receiver::Inlet(inlet)) = graph.receiver(id) else {
                continue;
            };
            // An inlet that two cords claim is fed by the one that came first.
            if graph.feeding(&graph.links.inlets[inlet as usize]) != Some(id) {
                continue;
            }
            self.inlet_of[id.index()] = inlet;
            let range = graph.conductors_of(id);
            let (from, to) = (range.start as u32, range.start as u32 + 1);
            self.taps[inlet as usize] = (range.len() == 2).then_some(Tap {
                element: id,
                from,
                to,
            });
        }
    }

    fn energise(&mut self, model: &Model, graph: &Graph, sequence: Sequence) {
        let left = LowEnd::of(&model.site).left();
        for (id, element) in graph.elements() {
            if let ElementKind::Supply(supply) = element.kind
                && let Some(system) = model.supplies[supply].system.known()
            {
                let proved = model.supplies[supply]
                    .sequence_proved
                    .known()
                    .is_some_and(|proved| proved.0);
                self.sequence_matters |= !proved && system.lines == 3;
                let sequence = if proved { Sequence::Forward } else { sequence };
                for at in graph.conductors_of(id) {
                    self.nominal[at] = phasor(system, graph.conductors()[at].pole, sequence);
                    self.unloaded[at] = self.nominal[at] * left;
                }
            }
        }
        for at in 0..self.feeder.len() {
            if self.feeder[at] != NONE {
                self.nominal[at] = self.nominal[self.feeder[at] as usize];
                self.unloaded[at] = self.unloaded[self.feeder[at] as usize];
            }
        }
        let volts = self.unloaded.iter();
        self.weight = volts.map(|volts| 1.0 / volts.norm_sqr().max(1.0)).collect();
    }

    fn resistances_above(&self) -> Vec<f64> {
        let mut ohms = self.resistance.clone();
        // Feeders stand before what they feed.
        for (at, &feeder) in self.feeder.iter().enumerate() {
            if feeder != NONE {
                ohms[at] += ohms[feeder as usize];
            }
        }
        ohms
    }

    /// Nominal voltage of each conductor against the supply's neutral point.
    pub fn nominal(&self) -> &[Complex64] {
        &self.nominal
    }

    /// Whether a supply has three lines whose sequence nobody has proved.
    pub fn sequence_matters(&self) -> bool {
        self.sequence_matters
    }
}

fn shared_neutrals(graph: &Graph) -> Vec<bool> {
    let mut shared = vec![false; graph.conductors().len()];
    for (id, _) in graph
        .elements()
        .filter(|(id, _)| graph.conductors_of(*id).len() > 2)
    {
        if let Some(neutral) = graph.conductor(id, Pole::N) {
            shared[neutral] = true;
        }
    }
    shared
}

/// Voltage of a pole against the supply's neutral point (which a delta has only on paper).
fn phasor(system: &SystemMarking, pole: Pole, sequence: Sequence) -> Complex64 {
    if pole == Pole::N {
        return Complex64::ZERO;
    }
    let third = match sequence {
        Sequence::Forward => -std::f64::consts::TAU / 3.0,
        Sequence::Reverse => std::f64::consts::TAU / 3.0,
    };
    let (to_neutral, step) = match system.arrangement {
        // Two lines and no neutral stand against each other, like those of a split phase.
        Arrangement::Single if system.lines == 2 => {
            (system.line_to_line.map(|v| v / 2.0), std::f64::consts::PI)
        }
        Arrangement::Single => (system.line_to_neutral.or(system.line_to_line), 0.0),
        Arrangement::SplitPhase => (
            system
                .line_to_neutral
                .or(system.line_to_line.map(|v| v / 2.0)),
            std::f64::consts::PI,
        ),
        Arrangement::TwoOfWye | Arrangement::Wye | Arrangement::Delta => (
            system
                .line_to_neutral
                .or(system.line_to_line.map(|v| v / 3f64.sqrt())),
            third,
        ),
    };
    Complex64::from_polar(
        to_neutral.map_or(0.0, |volts| volts.in_volts()),
        step * pole.index() as f64,
    )
}
