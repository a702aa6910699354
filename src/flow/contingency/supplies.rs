//! What supplies carry: the sum of their circuits, in the normal state and in every great loss.

use num_complex::Complex64;

use crate::flow::sweep::State;
use crate::graph::{ElementId, Loss};

use super::{Extremes, Given};

/// By what a state of a circuit changes a conductor of its supply; for the normal state, all that the
/// circuit takes there.
#[derive(Clone, Copy)]
pub(super) struct HeadChange {
    supply: ElementId,
    /// What is lost; `None` in the normal state.
    lost: Option<Loss>,
    /// The conductor of the supply.
    at: u32,
    /// Amperes more.
    current: Complex64,
    /// Amperes more of third harmonic.
    harmonic: f64,
}

impl HeadChange {
    /// The changes at the head of a circuit, by its conductors.
    pub fn of<'a>(
        given: Given<'a>,
        circuit: ElementId,
        lost: Option<Loss>,
        current: impl Fn(usize) -> Complex64 + 'a,
        harmonic: f64,
    ) -> impl Iterator<Item = Self> + 'a {
        let Given { graph, network, .. } = given;
        let supply = graph.element(circuit).feeder.unwrap_or(circuit);
        let heads = graph.conductors_of(circuit).enumerate();
        heads.map(move |(own, at)| {
            let at = network.feeder[at];
            Self {
                supply,
                lost,
                at,
                current: current(own),
                harmonic: f64::from(network.shared_neutral[at as usize]) * harmonic,
            }
        })
    }

    /// The same change, by another loss.
    pub fn by(self, lost: Loss) -> Self {
        Self {
            lost: Some(lost),
            ..self
        }
    }
}

/// Adds up what the supplies carry, in the order of the circuits, and takes it into account.
pub(super) fn survey(
    given: Given<'_>,
    mut heads: Vec<HeadChange>,
    normal: &mut State,
    extremes: &mut Extremes,
) {
    let Given { graph, network, .. } = given;
    heads.sort_by_key(|head| (head.lost, head.supply));
    let add = |head: &HeadChange, state: &mut State| {
        state.current[head.at as usize] += head.current;
        state.harmonic[head.at as usize] += head.harmonic;
    };
    let first_loss = heads.partition_point(|head| head.lost.is_none());
    for head in &heads[..first_loss] {
        add(head, normal);
    }
    let supplies = graph.elements();
    for (id, _) in supplies.filter(|(_, element)| element.feeder.is_none()) {
        extremes.take(graph, network, normal, id, None);
    }
    // In a loss only what changes is added to a supply, and taken off again.
    for changes in heads[first_loss..].chunk_by(|a, b| (a.lost, a.supply) == (b.lost, b.supply)) {
        let range = graph.conductors_of(changes[0].supply);
        let before: Vec<(Complex64, f64)> = range
            .clone()
            .map(|at| (normal.current[at], normal.harmonic[at]))
            .collect();
        for head in changes {
            add(head, normal);
        }
        extremes.take(graph, network, normal, changes[0].supply, changes[0].lost);
        for (at, (current, harmonic)) in range.zip(before) {
            (normal.current[at], normal.harmonic[at]) = (current, harmonic);
        }
    }
}
