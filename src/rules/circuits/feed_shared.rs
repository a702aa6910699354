//! `feed-shared`: do the inlets of a device hang on one thing, so that its loss takes them all?

mod untraced;

use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};

use super::redundancy::{Claim, FedInlet, Loss, fed_inlets, feed_of, listed, losses_of};

rule!(
    "feed-shared",
    Circuits,
    Error,
    "Inlets of one device on the same supply, circuit, PDU, bank or splitter: one loss takes the device down."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut fed = Vec::new();
    let mut untraced = untraced::Untraced::default();
    for (device, _) in survey.model.devices.iter() {
        fed_inlets(survey, device, &mut fed);
        untraced.look_at(survey, device);
        if fed.len() < 2 {
            continue;
        }
        let claim = Claim::of(survey, device, &fed);
        // Where every inlet must stay fed, nothing is gained by keeping them apart.
        let needs_all = claim.needed.is_some_and(|needed| needed >= claim.inlets);
        if needs_all && !claim.feeds_differ {
            continue;
        }
        if let Some(shared) = common(survey, &fed) {
            let goes_down = claim.needed.is_none_or(|needed| needed < fed.len());
            // That one splitter takes them all down is a fault of the splitter's.
            if goes_down && is_splitter(survey, shared) {
                continue;
            }
            findings.push(finding(survey, device, claim, &fed, shared));
        } else if claim.feeds_differ
            && let Some((pair, shared)) = crossed(survey, &fed)
        {
            findings.push(finding(survey, device, claim, &pair, shared));
        }
    }
    untraced.report(survey, findings);
}

fn is_splitter(survey: &Survey<'_>, shared: Loss<'_>) -> bool {
    let Loss::Element(id) = shared else {
        return false;
    };
    let ElementKind::Cord(cord) = survey.graph.kind(id) else {
        return false;
    };
    let kind = survey.graph.cord_type(survey.model, cord);
    kind.is_some_and(|kind| !kind.legs.is_empty())
}

/// The lowest thing that all of these inlets hang on.
fn common<'a>(survey: &Survey<'a>, inlets: &[FedInlet]) -> Option<Loss<'a>> {
    let (first, others) = inlets.split_first()?;
    losses_of(survey, first.by).find(|loss| others.iter().all(|inlet| loss.takes(survey, inlet.by)))
}

/// Two inlets that are meant for different feeds and hang on one thing all the same.
fn crossed<'a>(survey: &Survey<'a>, inlets: &[FedInlet]) -> Option<([FedInlet; 2], Loss<'a>)> {
    inlets.iter().enumerate().find_map(|(place, &first)| {
        let wanted = first.wanted_feed(survey)?;
        inlets[place + 1..].iter().find_map(|&second| {
            let pair = [first, second];
            let is_apart = second.wanted_feed(survey)? != wanted;
            Some((pair, is_apart.then(|| common(survey, &pair))??))
        })
    })
}

fn finding(
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
            "device {} loses inlets that are meant for different feeds with one fault: {names} {all} hang on {what}",
            name.value
        ),
        (false, Some(needed)) => format!(
            "device {} goes down with {what}, though {needed} of its {} inlets should be enough: {names} {all} hang on it",
            name.value, claim.inlets
        ),
        (false, None) => format!(
            "device {} has {} inlets but gains nothing from them: {names} {all} hang on {what}",
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

fn advice(survey: &Survey<'_>, device: Id<Device>, inlet: FedInlet, shared: Loss<'_>) -> String {
    let name = inlet.name(survey);
    let wanted = inlet.wanted_feed(survey);
    match (other_pdu(survey, device, inlet, wanted, shared), wanted) {
        (Some(pdu), _) => format!("Feed {name} from another path, for example from PDU {pdu}."),
        (None, Some(feed)) => format!(
            "Feed {name} from a PDU of feed {feed} that shares nothing with the other inlets."
        ),
        (None, None) => format!(
            "Feed {name} from a PDU whose circuit and supply are not those of the other inlets."
        ),
    }
}

/// A strip in the device's rack that what is shared does not feed, on the wanted feed if one is wanted.
fn other_pdu<'a>(
    survey: &Survey<'a>,
    device: Id<Device>,
    inlet: FedInlet,
    wanted: Option<&Name>,
    shared: Loss<'_>,
) -> Option<&'a Name> {
    let links = &survey.graph.links;
    let rack = links.device_racks[device.index()]?;
    let is_free = |at: ElementId| {
        let feed = feed_of(survey, at);
        let other = survey.graph.supply_of(at) != survey.graph.supply_of(inlet.by)
            && (feed.is_none() || feed != feed_of(survey, inlet.by));
        other && !shared.takes(survey, at) && (wanted.is_none() || feed == wanted)
    };
    let mut pdus = survey.model.pdus.iter();
    pdus.find(|(pdu, _)| {
        links.pdu_racks[pdu.index()] == Some(rack) && survey.graph.pdu(*pdu).is_some_and(is_free)
    })
    .map(|(_, pdu)| &pdu.name.value)
}
