//! What supplies carry: the sum of their circuits, in the normal state and in every great loss.

use num_complex::Complex64;

use crate::flow::sweep::State;
use crate::graph::{ElementId, ElementKind, Loss};

use super::{Extremes, Given, raise};
use crate::flow::ahead::Delivered;
use crate::model::circuits::Supply;
use crate::model::value::Id;

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
) -> Delivered {
    let Given { graph, network, .. } = given;
    // The normal state stands first.
    heads.sort_by_key(|head| (head.lost, head.supply));
    let first_loss = heads.partition_point(|head| head.lost.is_none());
    for head in &heads[..first_loss] {
        head.add_to(normal);
    }
    let mut own = vec![Complex64::ZERO; extremes.power.len()];
    for (id, supply) in supplies(given) {
        extremes.take(graph, network, normal, id, None);
        own[supply.index()] = normal.complex_power(graph.conductors_of(id));
    }
    let delivered = Delivered::of(graph, given.inputs, own);
    for (_, supply) in supplies(given).filter(|(id, _)| graph.feeds_supplies(*id)) {
        let power = delivered.total[supply.index()].norm();
        raise(&mut extremes.power[supply.index()], power, None);
    }
    let more = heads.split_off(first_loss);
    survey_more(given, more, (normal, &delivered), extremes);
    delivered
}

/// Takes further losses into account. In a loss only what changes is added to a supply, and taken off again.
pub(super) fn survey_more(
    given: Given<'_>,
    mut heads: Vec<HeadChange>,
    (normal, delivered): (&mut State, &Delivered),
    extremes: &mut Extremes,
) {
    let Given { graph, network, .. } = given;
    heads.sort_by_key(|head| (head.lost, head.supply));
    let mut changed: Vec<Changed> = Vec::new();
    for changes in heads.chunk_by(|a, b| (a.lost, a.supply) == (b.lost, b.supply)) {
        let range = graph.conductors_of(changes[0].supply);
        let before: Vec<(Complex64, f64)> = range
            .clone()
            .map(|at| (normal.current[at], normal.harmonic[at]))
            .collect();
        changes.iter().for_each(|head| head.add_to(normal));
        let HeadChange { supply, lost, .. } = changes[0];
        extremes.take(graph, network, normal, supply, lost);
        if let (Some(lost), true) = (lost, graph.has_sources()) {
            let power = normal.complex_power(range.clone());
            changed.extend(number(given, supply).map(|supply| (lost, supply, power)));
        }
        for (at, (current, harmonic)) in range.zip(before) {
            (normal.current[at], normal.harmonic[at]) = (current, harmonic);
        }
    }
    survey_ahead(given, delivered, &changed, extremes);
}

/// By how many amperes what a supply carries may change, on all its conductors together, before any of them,
/// their power, or that of a supply ahead comes to the worst that is known of it.
pub(super) fn head_room(
    given: Given<'_>,
    (normal, delivered): (&State, &Delivered),
    extremes: &Extremes,
) -> Vec<f64> {
    let graph = given.graph;
    let room = |supply: Id<Supply>| {
        let worst = extremes.power(supply.index()).value;
        worst - delivered.total[supply.index()].norm()
    };
    let mut head_room = vec![0.0; extremes.power.len()];
    for (id, supply) in supplies(given) {
        let range = graph.conductors_of(id);
        let volts = range.clone().map(|at| normal.voltage[at].norm());
        // What is taken off one conductor comes back on another.
        let volts = 2.0 * volts.fold(0.0, f64::max);
        let (mut power, mut gain) = (room(supply), 1.0);
        for (behind, source) in std::iter::once(supply)
            .chain(graph.sources_of(supply))
            .zip(graph.sources_of(supply))
        {
            gain *= given.inputs[behind.index()].gain();
            power = power.min(room(source) / gain);
        }
        let amperes = range.map(|at| extremes.current(at).value - normal.magnitude(at));
        head_room[supply.index()] = amperes.fold(power / volts.max(1.0), f64::min);
    }
    head_room
}

/// What a supply delivers to its circuits after a loss.
type Changed = (Loss, Id<Supply>, Complex64);

/// Takes into account what supplies ahead of others deliver after losses.
fn survey_ahead(
    given: Given<'_>,
    delivered: &Delivered,
    changed: &[Changed],
    extremes: &mut Extremes,
) {
    for changes in changed.chunk_by(|a, b| a.0 == b.0) {
        let lost = changes[0].0;
        let own: Vec<(Id<Supply>, Complex64)> =
            changes.iter().map(|&(_, id, own)| (id, own)).collect();
        let dead = given.graph.supplies_of(lost).into_iter().collect();
        for (supply, power) in delivered.ahead_with((given.graph, given.inputs), &own, &dead) {
            raise(
                &mut extremes.power[supply.index()],
                power.norm(),
                Some(lost),
            );
        }
    }
}

fn number(given: Given<'_>, id: ElementId) -> Option<Id<Supply>> {
    match given.graph.kind(id) {
        ElementKind::Supply(supply) => Some(supply),
        _ => None,
    }
}

fn supplies(given: Given<'_>) -> impl Iterator<Item = (ElementId, Id<Supply>)> + '_ {
    let elements = given.graph.elements();
    let heads = elements.filter(|(_, element)| element.feeder.is_none());
    heads.filter_map(move |(id, _)| Some((id, number(given, id)?)))
}
