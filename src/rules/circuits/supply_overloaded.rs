//! `supply-overloaded`: does a supply deliver more than its capacity, or a line more than its part of it?
//!
//! A capacity in kVA is a continuous rating, so that the whole of it counts under either practice.

use crate::finding::Finding;
use crate::graph::ElementKind;
use crate::quantity::Quantity;
use crate::rules::rule;
use crate::survey::Survey;

use super::capacity;
use super::missing::Undecided;

rule!(
    "supply-overloaded",
    Circuits,
    Error,
    "A supply that delivers more than its capacity: it shuts down or drops to bypass with everything on it."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut undecided = Undecided::new("is ", " overloaded");
    for (id, element) in survey.graph.elements() {
        if let ElementKind::Supply(supply) = element.kind {
            let found = capacity::judge_normal(&RULE, survey, id, supply);
            if let (None, Some(device)) = (&found, survey.flows.unknown_below(id)) {
                let known = survey.flows.normal_power(survey.graph, id).show();
                let known = format!("the known loads alone make {known}");
                undecided.add(device, id, Some(known), None);
            }
            findings.extend(found);
        }
    }
    findings.extend(undecided.findings(&RULE, survey));
}
