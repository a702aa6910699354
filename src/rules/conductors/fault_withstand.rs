//! `fault-withstand`: does the conductor survive a short circuit until the device ahead has opened?

mod ends;
mod missing;
mod range;
mod stress;
mod verdict;
mod words;

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::graph::ElementId;
use crate::rules::rule;
use crate::source::Span;

use super::gaps::Gaps;
use super::naming;

use stress::{Outcome, Stress};
use words::burns;

rule!(
    "fault-withstand",
    Conductors,
    Warning,
    "A short circuit that heats the conductor beyond what its insulation bears before the device ahead opens: the cord burns."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let fault_loops = &analysis.flows.fault_loops;
    let mut gaps = Gaps::of(&RULE);
    // Cords alike behind one device suffer alike: one finding for all of them.
    let mut alike: BTreeMap<(ElementId, Span), Vec<(ElementId, Stress)>> = BTreeMap::new();
    let verdict = |id| match analysis.capacity(id) {
        Some(capacity) => verdict::of(analysis, fault_loops, id, capacity),
        None => Outcome::Bears,
    };
    for (id, _) in analysis.graph.elements() {
        match verdict(id) {
            Outcome::Bears => {}
            Outcome::Open(missing) => {
                let about = missing.about(analysis);
                let told = gaps.miss(about, missing.kind(), |about| missing.gap(analysis, about));
                told.suffered_by(missing.sharer(analysis));
            }
            Outcome::Burns(stress) => {
                let key = (stress.device, naming::conductor_span(analysis, id));
                alike.entry(key).or_default().push((id, stress));
            }
        }
    }
    for (_, runs) in alike {
        findings.extend(burns(analysis, &runs));
    }
    findings.extend(gaps.findings());
}

/// The rule that the heat let through must not exceed what the conductor bears.
fn basis() -> Citation {
    Citation::new("IEC 60364-4-43", "434.5.2", "2008", Confidence::TwoCopies)
}
