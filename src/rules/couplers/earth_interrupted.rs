//! `earth-interrupted`: does the protective conductor reach all class I equipment without a gap?

mod gap;
mod supply;
mod told;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::ElementId;
use crate::model::devices::{DeviceModel, ProtectiveClass};
use crate::model::value::Id;
use crate::rules::rule;
use crate::rules::told_once::ToldOnce;

use super::halves::pairs;
use gap::{Gap, gap_of_cores, gap_of_pair};
use supply::gap_of_supply;
use told::{class_missing, unearthed};

rule!(
    "earth-interrupted",
    Couplers,
    Error,
    "Class I equipment without its protective (grounding) conductor: a fault makes the metal case live, and nothing trips."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut classless = ToldOnce::default();
    for (id, _) in analysis.graph.elements() {
        for gap in gaps(analysis, id) {
            judge(analysis, gap, &mut classless, findings);
        }
    }
    findings.extend(classless.findings());
}

/// The gaps at an element: of a supply, in couplers, and in a cord.
fn gaps(analysis: &Analysis<'_>, id: ElementId) -> impl Iterator<Item = Gap> {
    let of_pairs = pairs(analysis, id).filter_map(|pair| gap_of_pair(analysis, &pair));
    let of_cord_or_supply = gap_of_cores(analysis, id).or_else(|| gap_of_supply(analysis, id));
    of_pairs.chain(of_cord_or_supply)
}

fn judge(
    analysis: &Analysis<'_>,
    gap: Gap,
    classless: &mut ToldOnce<Id<DeviceModel>>,
    findings: &mut Vec<Finding>,
) {
    let mut relying = Vec::new();
    let below = analysis.graph.below(gap.id).map(ElementId);
    for device in below.filter_map(|id| analysis.device_fed_by(id)) {
        let Some(model) = analysis.graph.links.device_models[device.index()] else {
            continue;
        };
        match analysis.model.device_models[model].class.known().copied() {
            Some(ProtectiveClass::I) => relying.push(device),
            Some(ProtectiveClass::II | ProtectiveClass::III) => {}
            // One question for each supply: that it may be of class I is enough to ask it.
            None if gap.is_of_marking() => relying.push(device),
            None => {
                let told = classless.tell(model, || class_missing(analysis, model, gap.id));
                told.suffered_by([analysis.model.devices[device].name.value.clone()]);
            }
        }
    }
    relying.sort_unstable();
    relying.dedup();
    if !relying.is_empty() {
        findings.push(unearthed(analysis, gap, &relying));
    }
}
