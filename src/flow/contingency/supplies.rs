//! What supplies carry: the sum of their circuits, in the normal state and in every great loss.

use num_complex::Complex64;

use crate::flow::sweep::State;
use crate::graph::{ElementId, ElementKind, Loss};

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

    fn add_to(&self, state: &mut State) {
        state.current[self.at as usize] += self.current;
        state.harmonic[self.at as usize] += self.harmonic;
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
    // The normal state stands first.
    heads.sort_by_key(|head| (head.lost, head.supply));
    let first_loss = heads.partition_point(|head| head.lost.is_none());
    for head in &heads[..first_loss] {
        head.add_to(normal);
    }
    for id in supplies(given) {
        extremes.take(graph, network, normal, id, None);
    }
    survey_more(given, heads.split_off(first_loss), normal, extremes);
}

/// Takes further losses into account. In a loss only what changes is added to a supply, and taken off again.
pub(super) fn survey_more(
    given: Given<'_>,
    mut heads: Vec<HeadChange>,
    normal: &mut State,
    extremes: &mut Extremes,
) {
    let Given { graph, network, .. } = given;
    heads.sort_by_key(|head| (head.lost, head.supply));
    for changes in heads.chunk_by(|a, b| (a.lost, a.supply) == (b.lost, b.supply)) {
        let range = graph.conductors_of(changes[0].supply);
        let before: Vec<(Complex64, f64)> = range
            .clone()
            .map(|at| (normal.current[at], normal.harmonic[at]))
            .collect();
        changes.iter().for_each(|head| head.add_to(normal));
        extremes.take(graph, network, normal, changes[0].supply, changes[0].lost);
        for (at, (current, harmonic)) in range.zip(before) {
            (normal.current[at], normal.harmonic[at]) = (current, harmonic);
        }
    }
}

/// By how many amperes what a supply carries may change, on all its conductors together, before any of them
/// or their power comes to the worst that is known of it.
pub(super) fn head_room(given: Given<'_>, normal: &State, extremes: &Extremes) -> Vec<f64> {
    let mut head_room = vec![0.0; extremes.power.len()];
    for id in supplies(given) {
        let ElementKind::Supply(supply) = given.graph.kind(id) else {
            continue;
        };
        let range = given.graph.conductors_of(id);
        let volts = range.clone().map(|at| normal.voltage[at].norm());
        // What is taken off one conductor comes back on another.
        let volts = 2.0 * volts.fold(0.0, f64::max);
        let power = extremes.power(supply.index()).value - normal.power(range.clone());
        let amperes = range.map(|at| extremes.current(at).value - normal.magnitude(at));
        head_room[supply.index()] = amperes.fold(power / volts.max(1.0), f64::min);
    }
    head_room
}

fn supplies(given: Given<'_>) -> impl Iterator<Item = ElementId> + '_ {
    let elements = given.graph.elements();
    let heads = elements.filter(|(_, element)| element.feeder.is_none());
    heads.map(|(id, _)| id)
}
