//! `line-overloaded`: does a line of a strip's input carry more than strip, plug or receptacle may?
//!
//! The currents of loads between two lines are summed as phasors. The share that a continuous load may
//! take is a limit of overcurrent devices and is not applied here a second time.

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::ElementKind;
use crate::rules::rule;

use super::overload;

rule!(
    "line-overloaded",
    Circuits,
    Error,
    "A PDU whose input carries more than the PDU, its plug or its receptacle may: contacts burn."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let is_meant = |kind| matches!(kind, ElementKind::Pdu(_));
    overload::judge_normal(&RULE, analysis, is_meant, findings);
}
