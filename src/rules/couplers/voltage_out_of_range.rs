//! `voltage-out-of-range`: is the nominal voltage within what devices, couplers and cordage are made for?

mod cordage;
mod coupler;
mod device;
mod quiet;

use rustc_hash::FxHashSet;

use crate::finding::Finding;
use crate::rules::rule;
use crate::source::Span;
use crate::survey::Survey;

use super::halves::{Pair, pairs};
use super::stress::Stress;
use device::Rangeless;
use quiet::Quiet;

rule!(
    "voltage-out-of-range",
    Couplers,
    Error,
    "A voltage that the device, a coupler or the cordage is not made for: equipment burns out, fails to start, or its insulation breaks down."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut rangeless = Rangeless::default();
    // Couplers and cordages that have had their say: a definition is one thing, however many cords
    // repeat it.
    let mut seen = FxHashSet::default();
    let mut quiet = Quiet::default();
    for (id, _) in survey.graph.elements() {
        let Some(stress) = quiet.stress(survey, id) else {
            continue;
        };
        if quiet.is_quiet(survey, id, stress) {
            continue;
        }
        findings.extend(device::judged(survey, id, stress, &mut rangeless));
        findings.extend(cordage::judged(survey, id, stress, &mut seen));
        for pair in pairs(survey, id) {
            findings.extend(first_misfit(survey, stress, &pair, &mut seen));
        }
    }
    findings.extend(
        rangeless
            .into_iter()
            .map(|(model, at)| device::range_missing(survey, model, at)),
    );
}

/// The halves of a pair are mostly alike: the first says it for both.
fn first_misfit(
    survey: &Survey<'_>,
    stress: Stress,
    pair: &Pair<'_>,
    seen: &mut FxHashSet<Span>,
) -> Option<Finding> {
    let mut found = None;
    for half in pair.halves() {
        let Some(misfit) = stress.misfit(half.coupler.value) else {
            continue;
        };
        if seen.insert(half.coupler.span) && found.is_none() {
            found = Some(coupler::misfitting(survey, pair.id, &half, misfit));
        }
    }
    found
}
