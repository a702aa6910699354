//! `supply-overloaded`: does a supply deliver more than its capacity, or a line more than its part of it?
//!
//! A capacity in kVA is a continuous rating, so that the whole of it counts under either practice.

use crate::finding::Finding;
use crate::graph::ElementKind;
use crate::rules::rule;
use crate::survey::Survey;

use super::capacity;

rule!(
    "supply-overloaded",
    Circuits,
    Error,
    "A supply that delivers more than its capacity: it shuts down or drops to bypass with everything on it."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for (id, element) in survey.graph.elements() {
        if let ElementKind::Supply(supply) = element.kind {
            findings.extend(capacity::judge_normal(&RULE, survey, id, supply));
        }
    }
}
