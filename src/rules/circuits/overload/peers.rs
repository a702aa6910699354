//! What else of the same feed could take load over.

use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Name};
use crate::quantity::InUnits;
use crate::survey::Survey;

pub(super) fn feed_of<'a>(survey: &Survey<'a>, id: ElementId) -> Option<&'a Name> {
    let supply = survey.graph.supply_of(id)?;
    survey.model.supplies[supply].feed.get()
}

pub(super) fn peers(survey: &Survey<'_>, id: ElementId) -> Vec<ElementId> {
    let graph = survey.graph;
    let is_of_feed = |other: ElementId| match feed_of(survey, id) {
        Some(feed) => feed_of(survey, other) == Some(feed),
        None => graph.supply_of(other) == graph.supply_of(id),
    };
    let is_near = |other: ElementId| is_of_feed(other) && is_alike(survey, id, other);
    let pdus = || {
        survey
            .model
            .pdus
            .iter()
            .filter_map(|(pdu, _)| graph.pdu(pdu))
    };
    match graph.kind(id) {
        ElementKind::Circuit(_) => {
            let circuits = survey.model.circuits.iter();
            let circuits = circuits.filter_map(|(circuit, _)| graph.circuit(circuit));
            nearest(id, circuits, is_near)
        }
        ElementKind::Pdu(_) => nearest(id, pdus(), is_near),
        // Cords of a bank reach no further than the strips of their own rack.
        ElementKind::Bank(own, _) => {
            let near = pdus().filter(|&pdu| is_reachable(survey, own, pdu) && is_of_feed(pdu));
            let banks = near.flat_map(|pdu| banks(survey, pdu));
            banks.filter(|&bank| is_alike(survey, id, bank)).collect()
        }
        ElementKind::Supply(_) | ElementKind::Cord(_) | ElementKind::Leg(..) => Vec::new(),
    }
}

/// Whether what hangs on one finds as many lines, a neutral and the same voltage on the other.
fn is_alike(survey: &Survey<'_>, one: ElementId, other: ElementId) -> bool {
    let graph = survey.graph;
    let scheme = |id| {
        let has_neutral = graph.poles(id).any(|pole| pole == Pole::N);
        let mut lines = graph.poles(id).filter(|pole| *pole != Pole::N);
        let first = lines.next()?;
        // At the supply itself no load has taken its part of the voltage.
        let supply = graph.supply(graph.supply_of(id)?)?;
        let volts = survey.flows.voltage_to_neutral(graph, supply, first)?;
        let microvolts = (volts.in_volts() * 1e6).round() as u64;
        Some((has_neutral, lines.count(), microvolts))
    };
    scheme(one).is_some() && scheme(one) == scheme(other)
}

/// The peers that stand nearest in the definitions: on a large site not all of them are tried for
/// every finding.
fn nearest(
    id: ElementId,
    all: impl Iterator<Item = ElementId>,
    is_near: impl Fn(ElementId) -> bool,
) -> Vec<ElementId> {
    const TRIED: usize = 100;
    let mut all: Vec<ElementId> = all.collect();
    all.sort_unstable_by_key(|peer| (peer.0.abs_diff(id.0), peer.0));
    all.into_iter()
        .filter(|&peer| is_near(peer))
        .take(TRIED)
        .collect()
}

fn is_reachable(survey: &Survey<'_>, own: Id<Pdu>, other: ElementId) -> bool {
    let ElementKind::Pdu(other) = survey.graph.kind(other) else {
        return false;
    };
    let racks = &survey.graph.links.pdu_racks;
    own == other || (racks[own.index()].is_some() && racks[own.index()] == racks[other.index()])
}

fn banks(survey: &Survey<'_>, pdu: ElementId) -> impl Iterator<Item = ElementId> {
    let graph = survey.graph;
    let below = graph.below(pdu).map(ElementId);
    below.filter(move |&id| {
        matches!(graph.kind(id), ElementKind::Bank(..)) && graph.element(id).feeder == Some(pdu)
    })
}
