//! Does the current of a circuit, bank or PDU cross a limit, and what stays open?

mod effort;
mod finding;
mod movable;
mod moves;
mod outlets;
mod peers;
mod places;
mod relief;
mod room;
mod words;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, Quantity, show_pair};
use crate::rules::Rule;

use super::missing::Undecided;
use super::way::Carried;
use crate::analysis::{Limit, Limits};

pub use effort::Effort;
pub use finding::overloaded;

/// Judges the normal state of those elements that `is_meant` picks against their own limits.
pub fn judge_normal(
    rule: &Rule,
    analysis: &Analysis<'_>,
    is_meant: impl Fn(ElementKind) -> bool,
    findings: &mut Vec<Finding>,
) {
    let mut undecided = Undecided::new("is ", " overloaded");
    let effort = Effort::of(analysis);
    for (id, element) in analysis.graph.elements() {
        if is_meant(element.kind) {
            findings.extend(judge(rule, analysis, id, &mut undecided, &effort));
        }
    }
    findings.extend(undecided.findings(rule, analysis));
}

fn judge(
    rule: &Rule,
    analysis: &Analysis<'_>,
    id: ElementId,
    undecided: &mut Undecided,
    effort: &Effort,
) -> Option<Finding> {
    let limits = analysis.own_limits(id)?;
    let worst = analysis.flows.normal(analysis.graph, id);
    let crossed = worst.and_then(|worst| Some((worst, limits.crossed_by(worst.current)?)));
    if let Some((worst, limit)) = crossed {
        let carried = Carried {
            id,
            pole: worst.pole,
            current: worst.current,
            lost: None,
        };
        return Some(overloaded(
            rule,
            analysis,
            &carried,
            (&limits, limit),
            effort,
        ));
    }
    let known = worst.map(|worst| worst.current);
    open(rule, analysis, id, &limits, known, undecided);
    None
}

/// Adds what stays open of an element that no known load overloads: a limit or a load is missing. A part
/// that carries nothing cannot be overloaded, whatever its limit.
pub fn open(
    rule: &Rule,
    analysis: &Analysis<'_>,
    id: ElementId,
    limits: &Limits,
    known: Option<Current>,
    undecided: &mut Undecided,
) {
    let unknown = analysis.flows.unknown_below(id);
    let is_loaded = unknown.is_some() || known.is_some_and(|known| !known.is_zero());
    if let Some(missing) = limits.missing.as_ref().filter(|_| is_loaded) {
        undecided.add_limit(rule, analysis, id, missing);
    } else if let Some(device) = unknown {
        let lowest = limits.lowest();
        let known = known.zip(lowest);
        let known = known.map(|(known, lowest)| known_alone(known, lowest));
        let basis = lowest.and_then(|lowest| lowest.basis.first());
        undecided.add(device, id, known, basis);
    }
}

fn known_alone(known: Current, lowest: &Limit) -> String {
    let (known, limit) = show_pair(known, lowest.current);
    format!("the known loads alone make {known}; the limit is {limit}")
}
