//! What is said of inlets that hang on one thing.

use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::graph::ElementKind;
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::rules::Draft;
use crate::rules::circuits::redundancy::{Claim, FedInlet, Loss, feed_of, listed};
use crate::survey::{Survey, place};

use super::RULE;
use super::advice::advice;

pub(super) fn finding(
    survey: &Survey<'_>,
    device: Id<Device>,
    claim: Claim,
    inlets: &[FedInlet],
    shared: Loss<'_>,
) -> Finding {
    let name = &survey.model.devices[device].name;
    let what = shared.describe(survey);
    let names = listed(inlets.iter().map(|inlet| inlet.name(survey)));
    let all = if inlets.len() == 2 { "both" } else { "all" };
    let headline = match (claim.feeds_differ, claim.needed) {
        (true, _) => format!(
            "lose {what} and device {} loses {names} at once: they are meant for different feeds and {all} hang on it",
            name.value
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
    let moved = to_move(survey, inlets);
    let last = inlets[moved];
    let basis = Citation::common_practice("inlets of redundant equipment on independent paths");
    let others = inlets.iter().enumerate().filter(|(at, _)| *at != moved);
    let others = others.map(|(_, inlet)| plugged(survey, *inlet));
    Draft::new(
        &RULE,
        headline,
        last.plugged_at(survey),
        plugged(survey, last).note,
        basis,
    )
    .level(if claim.is_redundant() {
        Level::Error
    } else {
        Level::Warning
    })
    .above(shared_places(survey, shared, inlets))
    .above(others)
    .below([place(name.span, format!("device {}", name.value))])
    .working(inlets.iter().map(|inlet| inlet.way(survey)))
    .about([name.value.clone(), shared.name(survey)])
    .advice(advice(survey, device, last, shared))
    .finish()
}

/// The inlet that a cord should be moved for: one that is meant for another feed, or whose cord has the
/// colour of another; else the last.
fn to_move(survey: &Survey<'_>, inlets: &[FedInlet]) -> usize {
    let is_elsewhere = |feed: Option<&Name>, inlet: &FedInlet| {
        feed.zip(feed_of(survey, inlet.by))
            .is_some_and(|(wanted, own)| wanted != own)
    };
    let is_meant = |inlet: &FedInlet| is_elsewhere(inlet.wanted_feed(survey), inlet);
    let is_coloured = |inlet: &FedInlet| {
        let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = survey.graph.kind(inlet.by)
        else {
            return false;
        };
        let feed = survey.feed_of_colour(cord);
        is_elsewhere(feed.map(|feed| &feed.name.value), inlet)
    };
    let meant = inlets.iter().position(is_meant);
    let coloured = || inlets.iter().position(is_coloured);
    meant.or_else(coloured).unwrap_or(inlets.len() - 1)
}

/// Where an inlet's cord is plugged in.
fn plugged(survey: &Survey<'_>, inlet: FedInlet) -> Place {
    let note = format!("feeds {}", inlet.name(survey));
    place(inlet.plugged_at(survey), note)
}

/// What is shared, with what is above it; of a feed, the supplies that make it.
fn shared_places(survey: &Survey<'_>, shared: Loss<'_>, inlets: &[FedInlet]) -> Vec<Place> {
    if let Loss::Element(id) = shared {
        let mut places = survey.hops_above(id);
        let own = survey.hop(id);
        places.push(place(own.span, format!("{}: shared", own.note)));
        return places;
    }
    let mut supplies: Vec<_> = inlets
        .iter()
        .filter_map(|inlet| survey.graph.supply_of(inlet.by))
        .collect();
    supplies.sort_unstable();
    supplies.dedup();
    let supplies = supplies.into_iter().map(|id| &survey.model.supplies[id]);
    supplies
        .map(|supply| {
            let span = supply.feed.span().unwrap_or(supply.name.span);
            place(
                span,
                format!(
                    "supply {} makes {}",
                    supply.name.value,
                    shared.describe(survey)
                ),
            )
        })
        .collect()
}
