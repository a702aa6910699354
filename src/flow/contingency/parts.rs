//! What is computed for the whole site, cut into what each circuit writes by itself.

use std::ops::Range;

use num_complex::Complex64;

use crate::flow::branch::Branch;
use crate::flow::sweep::State;
use crate::graph::{Dead, ElementId, ElementKind, Graph, Loss};

use super::leeway::Known;
use super::{Extreme, Extremes, Given, lower, lowest, raise};

/// A circuit's own part of the worst that is known.
pub(super) struct Part<'a> {
    pub circuit: ElementId,
    current: &'a mut [Extreme],
    voltage: &'a mut [Extreme],
}

impl<'a> Part<'a> {
    /// The parts of all circuits, in their order.
    pub fn split(graph: &Graph, extremes: &'a mut Extremes) -> Vec<Self> {
        let mut current = Cutter::new(&mut extremes.current);
        let mut voltage = Cutter::new(&mut extremes.voltage);
        let part = |circuit| {
            let elements = graph.below(circuit);
            Part {
                circuit,
                current: current.cut(graph.conductors_below(circuit)),
                voltage: voltage.cut(elements.start as usize..elements.end as usize),
            }
        };
        circuits(graph).map(part).collect()
    }

    /// The worst that is known by now.
    pub fn known(&self) -> Known<'_> {
        Known {
            current: self.current,
            voltage: self.voltage,
        }
    }

    /// Takes a state into account, but for what is dead in it.
    pub fn take(
        &mut self,
        given: Given<'_>,
        branch: &Branch<'_>,
        state: &State,
        lost: Option<Loss>,
        dead: &Dead,
    ) {
        let (first, elements) = (branch.conductors.start, branch.elements.clone());
        let unloaded = &given.network.unloaded;
        let alive = |id: &u32| !dead.contains(given.graph, ElementId(*id));
        for id in elements.clone().filter(alive) {
            let range = given.graph.conductors_of(ElementId(id));
            let own = range.start - first..range.end - first;
            for at in own.clone() {
                raise(&mut self.current[at], state.magnitude(at), lost);
            }
            if let Some(voltage) = lowest(&unloaded[range], &state.voltage[own]) {
                let at = (id - elements.start) as usize;
                lower(&mut self.voltage[at], voltage, lost);
            }
        }
    }
}

/// A circuit's own part of the normal state.
pub(super) struct Normal<'a> {
    current: &'a mut [Complex64],
    voltage: &'a mut [Complex64],
    harmonic: &'a mut [f64],
}

impl<'a> Normal<'a> {
    /// The parts of all circuits, in their order.
    pub fn split(graph: &Graph, normal: &'a mut State) -> Vec<Self> {
        let mut current = Cutter::new(&mut normal.current);
        let mut voltage = Cutter::new(&mut normal.voltage);
        let mut harmonic = Cutter::new(&mut normal.harmonic);
        let part = |circuit| {
            let conductors = graph.conductors_below(circuit);
            Normal {
                current: current.cut(conductors.clone()),
                voltage: voltage.cut(conductors.clone()),
                harmonic: harmonic.cut(conductors),
            }
        };
        circuits(graph).map(part).collect()
    }

    /// Writes down the state of the circuit.
    pub fn write(self, state: &State) {
        self.current.copy_from_slice(&state.current);
        self.voltage.copy_from_slice(&state.voltage);
        self.harmonic.copy_from_slice(&state.harmonic);
    }
}

/// The part of a state of the whole site that is a branch's.
pub(super) fn cut_out(branch: &Branch<'_>, state: &State) -> State {
    let range = branch.conductors.clone();
    State {
        current: state.current[range.clone()].to_vec(),
        voltage: state.voltage[range.clone()].to_vec(),
        harmonic: state.harmonic[range].to_vec(),
    }
}

fn circuits(graph: &Graph) -> impl Iterator<Item = ElementId> {
    let circuits = graph.elements();
    let circuits = circuits.filter(|(_, element)| matches!(element.kind, ElementKind::Circuit(_)));
    circuits.map(|(circuit, _)| circuit)
}

/// Hands out parts of a slice that follow each other.
struct Cutter<'a, T> {
    rest: &'a mut [T],
    at: usize,
}

impl<'a, T> Cutter<'a, T> {
    fn new(whole: &'a mut [T]) -> Self {
        Self { rest: whole, at: 0 }
    }

    /// The part of this range, which begins no earlier than the one before ended.
    fn cut(&mut self, range: Range<usize>) -> &'a mut [T] {
        let rest = std::mem::take(&mut self.rest);
        let (_, rest) = rest.split_at_mut(range.start - self.at);
        let (part, rest) = rest.split_at_mut(range.len());
        (self.rest, self.at) = (rest, range.end);
        part
    }
}
