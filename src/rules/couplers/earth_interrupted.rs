//! `earth-interrupted`: does the protective conductor reach all class I equipment without a gap?

mod gap;
mod supply;
mod told;

use crate::finding::Finding;
use crate::graph::ElementId;
use crate::model::devices::{DeviceModel, ProtectiveClass};
use crate::model::value::Id;
use crate::rules::rule;
use crate::rules::told_once::ToldOnce;
use crate::survey::Survey;

use super::halves::pairs;
use gap::{Gap, gap_of_cores, gap_of_pair};
use supply::gap_of_supply;
use told::{class_missing, unearthed};

rule!(
    "earth-interrupted",
    Couplers,
    Error,
    "Class I equipment without its protective conductor: a fault makes the metal case live, and nothing trips."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut classless = ToldOnce::default();
    for (id, _) in survey.graph.elements() {
        for gap in gaps(survey, id) {
            judge(survey, gap, &mut classless, findings);
        }
    }
    findings.extend(classless.findings());
}

/// The gaps at an element: of a supply, in couplers, and in a cord.
fn gaps(survey: &Survey<'_>, id: ElementId) -> impl Iterator<Item = Gap> {
    let of_pairs = pairs(survey, id).filter_map(|pair| gap_of_pair(survey, &pair));
    let of_cord_or_supply = gap_of_cores(survey, id).or_else(|| gap_of_supply(survey, id));
    of_pairs.chain(of_cord_or_supply)
}

fn judge(
    survey: &Survey<'_>,
    gap: Gap,
    classless: &mut ToldOnce<Id<DeviceModel>>,
    findings: &mut Vec<Finding>,
) {
    let mut relying = Vec::new();
    let below = survey.graph.below(gap.id).map(ElementId);
    for device in below.filter_map(|id| survey.device_fed_by(id)) {
        let Some(model) = survey.graph.links.device_models[device.index()] else {
            continue;
        };
        match survey.model.device_models[model].class.known().copied() {
            Some(ProtectiveClass::I) => relying.push(device),
            Some(ProtectiveClass::II | ProtectiveClass::III) => {}
            // One question for each supply: that it may be of class I is enough to ask it.
            None if gap.is_of_marking() => relying.push(device),
            None => {
                let told = classless.tell(model, || class_missing(survey, model, gap.id));
                told.suffered_by([survey.model.devices[device].name.value.clone()]);
            }
        }
    }
    relying.sort_unstable();
    relying.dedup();
    if !relying.is_empty() {
        findings.push(unearthed(survey, gap, &relying));
    }
}
