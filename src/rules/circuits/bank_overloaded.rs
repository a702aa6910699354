//! `bank-overloaded`: does a bank of a strip carry more than its breaker may, with everything in order?
//!
//! A bank without a breaker of its own has no limit of its own: the line and the circuit limit it.

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::ElementKind;
use crate::rules::rule;

use super::overload;

rule!(
    "bank-overloaded",
    Circuits,
    Error,
    "A bank of a PDU that carries more than its breaker may: a trip cuts off every outlet of the bank."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let is_meant = |kind| matches!(kind, ElementKind::Bank(..));
    overload::judge_normal(&RULE, analysis, is_meant, findings);
}
