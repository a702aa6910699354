//! What is said of inlets that hang on one thing.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::rules::Draft;
use crate::rules::circuits::redundancy::{Claim, FedInlet, Loss, feed_of, listed};
use crate::source::Span;

use super::RULE;
use super::advice::advice;

pub(super) fn finding(
    analysis: &Analysis<'_>,
    device: Id<Device>,
    claim: Claim,
    inlets: &[FedInlet],
    shared: Loss<'_>,
) -> Finding {
    let name = &analysis.model.devices[device].name;
    let what = shared.describe(analysis);
    let names = listed(inlets.iter().map(|inlet| inlet.name(analysis)));
    let all = if inlets.len() == 2 { "both" } else { "all" };
    let headline = match (claim.feeds_differ, claim.needed) {
        (true, _) => format!(
            "lose {what} and device {} loses {names} at once: they are meant for different feeds and {all} hang on it",
            name.value
        ),
        (false, _) if is_all_there_is(analysis, shared) => format!(
            "lose {what} and device {} loses {names} at once: its {} inlets guard it against the loss of a power supply, a cord or a breaker alone",
            name.value, claim.inlets
        ),
        (false, Some(needed)) => format!(
            "lose {what} and device {} stops: {names} {all} hang on it, though {needed} of its {} inlets would do",
            name.value, claim.inlets
        ),
        (false, None) => format!(
            "lose {what} and device {} loses {names} at once: its {} inlets gain it nothing",
            name.value, claim.inlets
        ),
    };
    let moved = to_move(analysis, inlets);
    let last = inlets[moved];
    let basis = Citation::common_practice("inlets of redundant equipment on independent paths");
    let others = inlets.iter().enumerate().filter(|(at, _)| *at != moved);
    let others = others.map(|(_, inlet)| plugged(analysis, *inlet));
    Draft::new(
        &RULE,
        headline,
        last.plugged_at(analysis),
        plugged(analysis, last).note,
        basis,
    )
    .level(match claim.is_redundant() {
        _ if claim.feeds_differ => Level::Error,
        _ if is_all_there_is(analysis, shared) => Level::Note,
        true => Level::Error,
        false => Level::Warning,
    })
    .above(shared_places(analysis, shared, inlets))
    .above(others)
    .below([place(name.span, format!("device {}", name.value))])
    .working(inlets.iter().map(|inlet| inlet.way(analysis)))
    .about([name.value.clone(), shared.name(analysis)])
    .advice(advice(analysis, device, last, shared))
    .finish()
}

/// Whether what is shared is the only supply of the site: then the inlets part below it, and nobody could part
/// them above. That a device runs on one of its inlets is no promise of a second supply.
fn is_all_there_is(analysis: &Analysis<'_>, shared: Loss<'_>) -> bool {
    let is_supply = match shared {
        Loss::Element(id) => matches!(analysis.graph.kind(id), ElementKind::Supply(_)),
        Loss::Feed(_) => true,
        Loss::Switch(_) => false,
    };
    is_supply && analysis.model.supplies.len() == 1
}

/// The inlet that a cord should be moved for: one that is meant for another feed, or whose cord has the
/// colour of another; else the last.
fn to_move(analysis: &Analysis<'_>, inlets: &[FedInlet]) -> usize {
    let is_elsewhere = |feed: Option<&Name>, inlet: &FedInlet| {
        feed.zip(feed_of(analysis, inlet.by))
            .is_some_and(|(wanted, own)| wanted != own)
    };
    let is_meant = |inlet: &FedInlet| is_elsewhere(inlet.wanted_feed(analysis), inlet);
    let is_coloured = |inlet: &FedInlet| {
        let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(inlet.by)
        else {
            return false;
        };
        let feed = analysis.feed_of_colour(cord);
        is_elsewhere(feed.map(|feed| &feed.name.value), inlet)
    };
    let meant = inlets.iter().position(is_meant);
    let coloured = || inlets.iter().position(is_coloured);
    meant.or_else(coloured).unwrap_or(inlets.len() - 1)
}

/// Where an inlet's cord is plugged in.
fn plugged(analysis: &Analysis<'_>, inlet: FedInlet) -> Place {
    let note = format!("feeds {}", inlet.name(analysis));
    place(inlet.plugged_at(analysis), note)
}

/// What is shared, with what is above it; of a feed, the supplies that make it.
fn shared_places(analysis: &Analysis<'_>, shared: Loss<'_>, inlets: &[FedInlet]) -> Vec<Place> {
    let shared_hop = |id: ElementId, what: String, span: Span| {
        let mut places = analysis.hops_above(id);
        places.push(place(span, format!("{what}: shared")));
        places
    };
    match shared {
        Loss::Element(id) => {
            let own = analysis.hop(id);
            return shared_hop(id, own.note, own.span);
        }
        Loss::Switch(on) => {
            let what = shared.describe(analysis);
            let span = shared
                .switch(analysis)
                .map_or(analysis.name(on).span, |name| name.span);
            return shared_hop(on, what, span);
        }
        Loss::Feed(_) => {}
    }
    let mut supplies: Vec<_> = inlets
        .iter()
        .filter_map(|inlet| analysis.graph.supply_of(inlet.by))
        .collect();
    supplies.sort_unstable();
    supplies.dedup();
    let supplies = supplies.into_iter().map(|id| &analysis.model.supplies[id]);
    supplies
        .map(|supply| {
            let span = supply.feed.span().unwrap_or(supply.name.span);
            place(
                span,
                format!(
                    "supply {} makes {}",
                    supply.name.value,
                    shared.describe(analysis)
                ),
            )
        })
        .collect()
}
