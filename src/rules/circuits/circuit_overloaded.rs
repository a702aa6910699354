//! `circuit-overloaded`: does a branch circuit carry more than its breaker may, with everything in order?

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::ElementKind;
use crate::rules::rule;

use super::overload;

rule!(
    "circuit-overloaded",
    Circuits,
    Error,
    "A circuit that carries more than its breaker may: it runs hot, and a trip cuts off everything on it."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let is_meant = |kind| matches!(kind, ElementKind::Circuit(_));
    overload::judge_normal(&RULE, analysis, is_meant, findings);
}
