//! `failover-overloaded`: does any single loss overload what takes the load over?
//!
//! The state that counts is the worst of all losses of one supply, circuit, PDU, bank or cord. What is
//! overloaded in the normal state already is left to the rules of that state, unless the loss makes
//! it cross a worse limit.

use std::collections::BTreeSet;

use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::rule;
use crate::survey::Survey;

use super::capacity;
use super::limit::Limits;
use super::missing::{self, Question};
use super::overload::overloaded;
use super::way::Carried;

rule!(
    "failover-overloaded",
    Circuits,
    Error,
    "What takes the load over after a loss cannot carry it: the second feed falls as well."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut unknown = BTreeSet::new();
    for (id, element) in survey.graph.elements() {
        let found = match element.kind {
            ElementKind::Cord(_) | ElementKind::Leg(..) => continue,
            ElementKind::Supply(supply) => capacity::judge_worst(&RULE, survey, id, supply),
            ElementKind::Circuit(_) | ElementKind::Pdu(_) | ElementKind::Bank(..) => {
                judge(survey, id)
            }
        };
        if found.is_none() {
            unknown.extend(survey.flows.unknown_below(id));
        }
        findings.extend(found);
    }
    findings.extend(
        unknown
            .into_iter()
            .map(|device| load_missing(survey, device)),
    );
}

fn judge(survey: &Survey<'_>, id: ElementId) -> Option<Finding> {
    let limits = Limits::of(survey, id)?;
    let worst = survey.flows.worst(survey.graph, id)?;
    let normal = survey.flows.normal(survey.graph, id)?;
    let before = limits.crossed_by(normal.current).map(|limit| limit.step);
    let crossed = limits
        .crossed_by(worst.current)
        .filter(|limit| Some(limit.step) > before);
    match (crossed, &limits.missing) {
        (Some(limit), _) => {
            let carried = Carried {
                id,
                pole: worst.pole,
                current: worst.current,
                lost: Some(worst.lost?),
            };
            Some(overloaded(&RULE, survey, &carried, limit))
        }
        (None, Some(missing)) if before.is_none() => {
            let is_loaded = worst.current > crate::quantity::amperes(0.0);
            is_loaded.then(|| missing::limit(&RULE, missing))
        }
        _ => None,
    }
}

/// One open point for each device: whatever it hangs on, and whatever it may move to, is undecided.
fn load_missing(survey: &Survey<'_>, device: Id<Device>) -> Finding {
    let name = &survey.model.devices[device].name.value;
    let question = Question {
        whether: format!("a loss overloads what feeds device {name}"),
        of: None,
        known: None,
        basis: None,
    };
    missing::load(&RULE, survey, device, question)
}
