//! What else of the same feed could take load over.

use std::borrow::Cow;

use crate::analysis::Analysis;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Name};
use crate::quantity::InUnits;

use super::effort::Effort;

pub(super) fn feed_of<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<&'a Name> {
    let supply = analysis.graph.supply_of(id)?;
    analysis.model.supplies[supply].feed.known()
}

/// Peers that are tried for a finding, and things that are looked at to find them: those that stand nearest
/// in the definitions.
const TRIED: usize = 100;
const LOOKED_AT: usize = 2_000;

pub(super) fn peers(analysis: &Analysis<'_>, id: ElementId, effort: &Effort) -> Vec<ElementId> {
    let graph = analysis.graph;
    let is_of_feed = |other: ElementId| match feed_of(analysis, id) {
        Some(feed) => feed_of(analysis, other) == Some(feed),
        None => graph.supply_of(other) == graph.supply_of(id),
    };
    let is_near = |other: &ElementId| {
        effort.spend(1);
        is_of_feed(*other) && is_alike(analysis, id, *other)
    };
    match graph.kind(id) {
        ElementKind::Circuit(_) => {
            let circuits = analysis.circuits_near(id).take(LOOKED_AT);
            circuits.filter(is_near).take(TRIED).collect()
        }
        ElementKind::Pdu(_) => {
            let pdus = analysis.pdus_near(id).take(LOOKED_AT);
            pdus.filter(is_near).take(TRIED).collect()
        }
        // Cords of a bank reach no further than the strips of their own rack.
        ElementKind::Bank(own, _) => {
            let reached = within_reach(analysis, own);
            let near = reached.iter().filter_map(|pdu| graph.pdu(*pdu));
            let near = near.filter(|pdu| is_of_feed(*pdu));
            let banks = near.flat_map(|pdu| banks(analysis, pdu));
            let banks = banks.filter(|bank| is_near(bank));
            banks.take(TRIED).collect()
        }
        ElementKind::Supply(_) | ElementKind::Cord(_) | ElementKind::Leg(..) => Vec::new(),
    }
}

/// The strip itself and those of its rack; of very many those that stand nearest.
fn within_reach<'a>(analysis: &Analysis<'a>, own: Id<Pdu>) -> Cow<'a, [Id<Pdu>]> {
    let Some(rack) = analysis.graph.links.pdu_racks[own.index()] else {
        return Cow::Owned(vec![own]);
    };
    let all = analysis.pdus_in_rack(rack);
    let at = all.partition_point(|pdu| *pdu < own);
    let first = at.saturating_sub(TRIED / 2);
    Cow::Borrowed(&all[first..all.len().min(at + TRIED / 2)])
}

/// Whether what hangs on one finds as many lines, a neutral and the same voltage on the other.
fn is_alike(analysis: &Analysis<'_>, one: ElementId, other: ElementId) -> bool {
    let graph = analysis.graph;
    let scheme = |id| {
        let has_neutral = graph.poles(id).any(|pole| pole == Pole::N);
        let mut lines = graph.poles(id).filter(|pole| *pole != Pole::N);
        let first = lines.next()?;
        // At the supply itself no load has taken its part of the voltage.
        let supply = graph.supply(graph.supply_of(id)?)?;
        let volts = analysis.flows.voltage_to_neutral(graph, supply, first)?;
        let microvolts = (volts.in_volts() * 1e6).round() as u64;
        Some((has_neutral, lines.count(), microvolts))
    };
    scheme(one).is_some() && scheme(one) == scheme(other)
}

fn banks(analysis: &Analysis<'_>, pdu: ElementId) -> impl Iterator<Item = ElementId> {
    let graph = analysis.graph;
    let below = graph.below(pdu).map(ElementId);
    below.filter(move |&id| {
        matches!(graph.kind(id), ElementKind::Bank(..)) && graph.element(id).feeder == Some(pdu)
    })
}
