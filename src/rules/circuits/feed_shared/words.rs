//! What is said of inlets that hang on one thing.

use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::Draft;
use crate::rules::circuits::redundancy::{Claim, FedInlet, Loss, listed};
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
    let (last, others) = inlets.split_last().unwrap_or((&inlets[0], &[]));
    let basis = Citation::common_practice("inlets of redundant equipment on independent paths");
    let others = others.iter().map(|inlet| plugged(survey, *inlet));
    Draft::new(
        &RULE,
        headline,
        last.plugged_at(survey),
        plugged(survey, *last).note,
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
    .advice(advice(survey, device, *last, shared))
    .finish()
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
