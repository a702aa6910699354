//! `feed-shared`: do the inlets of a device hang on one thing, so that its loss takes them all?

mod advice;
mod ahead;
mod untraced;
mod words;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::ElementKind;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::rule;

use super::redundancy::{Claim, FedInlet, Loss, fed_inlets, losses_of};

use ahead::Ahead;
use untraced::Untraced;
use words::finding;

rule!(
    "feed-shared",
    Circuits,
    Error,
    "Inlets of one device on the same supply, circuit, PDU, bank or splitter: one loss takes the device down."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut untraced, mut ahead) = (Untraced::default(), Ahead::default());
    for (device, _) in analysis.model.devices.iter() {
        untraced.look_at(analysis, device);
        findings.extend(judged(analysis, device, &mut ahead));
    }
    findings.extend(ahead.findings());
    untraced.report(analysis, findings);
}

fn judged(analysis: &Analysis<'_>, device: Id<Device>, ahead: &mut Ahead) -> Option<Finding> {
    let fed = fed_inlets(analysis, device);
    if fed.len() < 2 {
        return None;
    }
    let claim = Claim::of(analysis, device, &fed);
    // Where every inlet must stay fed, nothing is gained by keeping them apart.
    let needs_all = claim.needed.is_some_and(|needed| needed >= claim.inlets);
    if needs_all && !claim.feeds_differ {
        return None;
    }
    if let Some(shared) = common(analysis, &fed) {
        if ahead.takes(analysis, device, (&fed, shared)) {
            return None;
        }
        let goes_down = claim.needed.is_none_or(|needed| needed < fed.len());
        // That one splitter takes them all down is a fault of the splitter's.
        let is_told_there = goes_down && is_splitter(analysis, shared);
        return (!is_told_there).then(|| finding(analysis, device, claim, &fed, shared));
    }
    let (pair, shared) = crossed(analysis, &fed).filter(|_| claim.feeds_differ)?;
    if ahead.takes(analysis, device, (&pair, shared)) {
        return None;
    }
    Some(finding(analysis, device, claim, &pair, shared))
}

fn is_splitter(analysis: &Analysis<'_>, shared: Loss<'_>) -> bool {
    let Loss::Element(id) = shared else {
        return false;
    };
    let ElementKind::Cord(cord) = analysis.graph.kind(id) else {
        return false;
    };
    let kind = analysis.graph.cord_type(analysis.model, cord);
    kind.is_some_and(|kind| !kind.legs.is_empty())
}

/// The lowest thing that all of these inlets hang on.
fn common<'a>(analysis: &Analysis<'a>, inlets: &[FedInlet]) -> Option<Loss<'a>> {
    let (first, others) = inlets.split_first()?;
    losses_of(analysis, first.by)
        .find(|loss| others.iter().all(|inlet| loss.takes(analysis, inlet.by)))
}

/// Two inlets that are meant for different feeds and hang on one thing all the same.
fn crossed<'a>(analysis: &Analysis<'a>, inlets: &[FedInlet]) -> Option<([FedInlet; 2], Loss<'a>)> {
    inlets.iter().enumerate().find_map(|(place, &first)| {
        let wanted = first.wanted_feed(analysis)?;
        inlets[place + 1..].iter().find_map(|&second| {
            let pair = [first, second];
            let is_apart = second.wanted_feed(analysis)? != wanted;
            Some((pair, is_apart.then(|| common(analysis, &pair))??))
        })
    })
}
