//! `failover-overloaded`: does any single loss overload what takes the load over?
//!
//! The state that counts is the worst of all losses of one supply, circuit, PDU, bank or cord. What is
//! overloaded in the normal state already is left to the rules of that state, unless the loss makes
//! it cross a worse limit.

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Supply;
use crate::model::value::Id;
use crate::rules::rule;

use super::missing::Undecided;
use super::overload::Effort;
use super::way::Carried;
use super::{capacity, overload};

rule!(
    "failover-overloaded",
    Circuits,
    Error,
    "What takes the load over after a loss cannot carry it: the second feed falls as well."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut undecided = Undecided::new("can a loss overload ", "");
    let effort = Effort::of(analysis);
    for (id, element) in analysis.graph.elements() {
        let found = match element.kind {
            ElementKind::Cord(_) | ElementKind::Leg(..) => continue,
            ElementKind::Supply(supply) => supply_found(analysis, id, supply, &mut undecided),
            ElementKind::Circuit(_) | ElementKind::Pdu(_) | ElementKind::Bank(..) => {
                judge(analysis, id, &mut undecided, &effort)
            }
        };
        findings.extend(found);
    }
    findings.extend(undecided.findings(&RULE, analysis));
}

fn supply_found(
    analysis: &Analysis<'_>,
    id: ElementId,
    supply: Id<Supply>,
    undecided: &mut Undecided,
) -> Option<Finding> {
    let found = capacity::judge_worst(&RULE, analysis, id, supply);
    if let (None, Some(device)) = (&found, analysis.flows.unknown_below(id)) {
        undecided.add(device, id, None, None);
    }
    found
}

fn judge(
    analysis: &Analysis<'_>,
    id: ElementId,
    undecided: &mut Undecided,
    effort: &Effort,
) -> Option<Finding> {
    let limits = analysis.own_limits(id)?;
    let worst = analysis.flows.worst(analysis.graph, id);
    let normal = analysis.flows.normal(analysis.graph, id);
    let before = normal.and_then(|normal| limits.crossed_by(normal.current));
    let before = before.map(|limit| limit.step);
    let crossed = worst.and_then(|worst| Some((worst, limits.crossed_by(worst.current)?)));
    match crossed.filter(|(_, limit)| Some(limit.step) > before) {
        Some((worst, limit)) => {
            let carried = Carried {
                id,
                pole: worst.pole,
                current: worst.current,
                lost: Some(worst.lost?),
            };
            Some(overload::overloaded(
                &RULE,
                analysis,
                &carried,
                (&limits, limit),
                effort,
            ))
        }
        // The normal state has been told already.
        None if before.is_some() => None,
        None => {
            let known = worst.map(|worst| worst.current);
            overload::open(&RULE, analysis, id, &limits, known, undecided);
            None
        }
    }
}
