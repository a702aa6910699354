//! `supply-overloaded`: does a supply deliver more than its capacity, or a line more than its part of it?
//!
//! A capacity in kVA is a continuous rating, so that the whole of it counts under either practice.

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding, Verdict};
use crate::graph::ElementKind;
use crate::quantity::Quantity;
use crate::rules::illegible::Illegible;
use crate::rules::rule;

use super::capacity;
use super::missing::Undecided;

rule!(
    "supply-overloaded",
    Circuits,
    Error,
    "A supply that delivers more than its capacity: it shuts down or drops to bypass with everything on it."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut undecided = Undecided::new("is ", " overloaded");
    let mut illegible = Illegible::default();
    for (id, element) in analysis.graph.elements() {
        if let ElementKind::Supply(supply) = element.kind {
            let found = capacity::judge_normal(&RULE, analysis, id, supply);
            if let (None, Some(device)) = (&found, analysis.flows.unknown_below(id)) {
                let known = analysis.flows.normal_power(analysis.graph, id).show();
                let known = format!("the known loads alone make {known}");
                undecided.add(device, id, Some(known), None);
            }
            if found
                .as_ref()
                .is_none_or(|found| found.verdict == Verdict::Open)
            {
                findings.extend(capacity::gaps(&RULE, analysis, supply));
            }
            findings.extend(found);
            let own = &analysis.model.supplies[supply];
            if let Some(fact) = Fact::if_unreadable(own, "from", &own.from) {
                let name = &own.name.value;
                let question = || format!("is what feeds supply {name} overloaded");
                illegible
                    .ask(&RULE, &fact, question)
                    .suffered_by([name.clone()]);
            }
        }
    }
    findings.extend(illegible.findings());
    findings.extend(undecided.findings(&RULE, analysis));
}
