//! `feed-shared`: do the inlets of a device hang on one thing, so that its loss takes them all?

mod advice;
mod untraced;
mod words;

use crate::finding::Finding;
use crate::graph::ElementKind;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::rule;
use crate::survey::Survey;

use super::redundancy::{Claim, FedInlet, Loss, fed_inlets, losses_of};

use untraced::Untraced;
use words::finding;

rule!(
    "feed-shared",
    Circuits,
    Error,
    "Inlets of one device on the same supply, circuit, PDU, bank or splitter: one loss takes the device down."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut untraced = Untraced::default();
    for (device, _) in survey.model.devices.iter() {
        untraced.look_at(survey, device);
        findings.extend(judged(survey, device));
    }
    untraced.report(survey, findings);
}

fn judged(survey: &Survey<'_>, device: Id<Device>) -> Option<Finding> {
    let fed = fed_inlets(survey, device);
    if fed.len() < 2 {
        return None;
    }
    let claim = Claim::of(survey, device, &fed);
    // Where every inlet must stay fed, nothing is gained by keeping them apart.
    let needs_all = claim.needed.is_some_and(|needed| needed >= claim.inlets);
    if needs_all && !claim.feeds_differ {
        return None;
    }
    if let Some(shared) = common(survey, &fed) {
        let goes_down = claim.needed.is_none_or(|needed| needed < fed.len());
        // That one splitter takes them all down is a fault of the splitter's.
        let is_told_there = goes_down && is_splitter(survey, shared);
        return (!is_told_there).then(|| finding(survey, device, claim, &fed, shared));
    }
    let (pair, shared) = crossed(survey, &fed).filter(|_| claim.feeds_differ)?;
    Some(finding(survey, device, claim, &pair, shared))
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
