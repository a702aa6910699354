//! `slow-disconnection`: does an earth fault at the far end of a cord open a device before it kills?

mod assurance;
mod missing;
mod overcurrent;
mod verdict;
mod words;

use std::collections::BTreeMap;

use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::ProtectiveClass;
use crate::rules::rule;
use crate::survey::Survey;
use crate::tables::couplers::Earth;

use super::gaps::Gaps;
use super::section::Section;

use assurance::Assurance;
use verdict::{Slow, Verdict};
use words::too_slow;

rule!(
    "slow-disconnection",
    Conductors,
    Warning,
    "An earth fault that opens nothing in time: the casing stays live, and whoever touches it may be killed."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let ways = &survey.flows.ways;
    let (mut gaps, mut section) = (Gaps::of(&RULE), Section::new());
    // One finding for each device: what is behind it shares most of the way.
    let mut slow: BTreeMap<ElementId, Vec<(ElementId, Slow)>> = BTreeMap::new();
    for (id, _) in survey.graph.elements() {
        let assurance = section.of(survey, id, |head| Assurance::of(survey, head));
        if assurance.holds(ways, id) || !is_touched(survey, id) {
            continue;
        }
        match verdict::of(survey, ways, id) {
            Verdict::Opens => {}
            Verdict::Open(gap, sufferer) => {
                let told = gaps.miss(gap.about.clone(), gap.kind, |_| *gap);
                told.suffered_by(sufferer);
            }
            Verdict::Slow(found) => slow.entry(found.device).or_default().push((id, found)),
        }
    }
    for (_, mut ends) in slow {
        ends.sort_by(|(_, a), (_, b)| a.current.value.total_cmp(&b.current.value));
        findings.extend(too_slow(survey, &ends));
    }
    findings.extend(gaps.findings());
}

/// Whether an element ends at a casing that a person touches and that relies on the earth.
fn is_touched(survey: &Survey<'_>, id: ElementId) -> bool {
    match survey.graph.kind(id) {
        ElementKind::Pdu(_) => true,
        ElementKind::Cord(cord) => survey
            .graph
            .cord_type(survey.model, cord)
            .is_some_and(|kind| kind.legs.is_empty() && is_earthed(survey, id)),
        ElementKind::Leg(..) => is_earthed(survey, id),
        _ => false,
    }
}

fn is_earthed(survey: &Survey<'_>, id: ElementId) -> bool {
    let inlet = survey
        .graph
        .receiver(id)
        .and_then(|receiver| match receiver {
            crate::graph::Receiver::Inlet(number) => survey.inlet(*number),
            _ => None,
        });
    let Some((device, inlet)) = inlet else {
        return true;
    };
    let class = survey.graph.device_model(survey.model, device);
    let class = class.and_then(|model| model.class.known().copied());
    let has_contact = inlet
        .coupler
        .known()
        .is_none_or(|inlet| inlet.earth != Earth::None);
    class.is_none_or(|class| class == ProtectiveClass::I) && has_contact
}
