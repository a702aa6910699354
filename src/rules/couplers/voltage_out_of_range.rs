//! `voltage-out-of-range`: is the nominal voltage within what devices, couplers and cordage are made for?

mod cordage;
mod coupler;
mod device;

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::ElementId;
use crate::rules::rule;
use crate::rules::told_once::ToldOnce;
use crate::source::Span;

use super::halves::{Half, Pair, pairs, unused};
use super::stress::Stress;
use device::Rangeless;

rule!(
    "voltage-out-of-range",
    Couplers,
    Error,
    "A voltage that the device, a coupler or the cordage is not made for: equipment burns out, fails to start, or its insulation breaks down."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut rangeless = Rangeless::default();
    let mut definitions = Definitions::default();
    for (id, _) in analysis.graph.elements() {
        let Some(stress) = Stress::at(analysis, id) else {
            continue;
        };
        findings.extend(device::judged(analysis, id, stress, &mut rangeless));
        if let Some(unfit) = cordage::unfit(analysis, id, stress) {
            let told = definitions
                .told
                .tell(unfit.at(), || unfit.draft(analysis, id));
            told.suffered_by([analysis.full_name(id)]);
        }
        if let Some(fact) = cordage::unknown(analysis, id, stress) {
            let draft = || cordage::undecided(analysis, id, stress, &fact);
            let told = definitions.told.tell(fact.span, draft);
            told.suffered_by([analysis.full_name(id)]);
        }
        for pair in pairs(analysis, id) {
            definitions.tell_misfits(analysis, stress, &pair);
        }
    }
    for (id, _) in analysis.graph.elements() {
        if let Some(stress) = Stress::at(analysis, id) {
            for half in unused(analysis, id) {
                definitions.tell_unused(analysis, stress, id, &half);
            }
        }
    }
    findings.extend(rangeless.findings());
    findings.extend(definitions.told.findings());
}

/// Couplers and cordages by where they stand: a definition is one thing, however many cords repeat it.
#[derive(Default)]
struct Definitions {
    told: ToldOnce<Span>,
    /// By the place of a coupler that of the one whose finding says it.
    said_by: FxHashMap<Span, Span>,
}

impl Definitions {
    /// The halves of a pair are mostly alike: the first says it for both.
    fn tell_misfits(&mut self, analysis: &Analysis<'_>, stress: Stress, pair: &Pair<'_>) {
        let mut first = None;
        for half in pair.halves() {
            let Some(misfit) = stress.misfit(&half.coupler.value) else {
                continue;
            };
            let at = half.coupler.span;
            let by = *self
                .said_by
                .entry(at)
                .or_insert_with(|| *first.get_or_insert(at));
            let draft = || coupler::misfitting(analysis, pair.id, &half, misfit);
            let told = self.told.tell(by, draft);
            told.suffered_by([analysis.full_name(pair.id)]);
        }
    }

    /// One that nobody uses. Where it is told with a plug in it, nothing is left to say.
    fn tell_unused(
        &mut self,
        analysis: &Analysis<'_>,
        stress: Stress,
        id: ElementId,
        half: &Half<'_>,
    ) {
        let at = half.coupler.span;
        if self.said_by.contains_key(&at) {
            return;
        }
        if let Some(misfit) = stress.misfit(&half.coupler.value) {
            let draft = || coupler::unused(analysis, id, half, misfit);
            let told = self.told.tell(at, draft);
            told.suffered_by([analysis.full_name(id)]);
        }
    }
}
