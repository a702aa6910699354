//! `neutral-overloaded`: does the neutral of several lines carry more than it may, third harmonics
//! counted where they are given?

mod silent;
mod words;

use crate::analysis::{Analysis, exceeds};
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::rules::rule;

use super::missing::Undecided;
use super::way::Carried;

use silent::Silent;
use words::finding;

rule!(
    "neutral-overloaded",
    Circuits,
    Warning,
    "A neutral that carries more than it may: no breaker guards it, and where it burns open, equipment gets up to the voltage between lines."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut undecided = Undecided::new("is the neutral of ", " overloaded");
    let mut silent = Silent::of(analysis);
    for (id, element) in analysis.graph.elements() {
        let is_judged = matches!(element.kind, ElementKind::Circuit(_) | ElementKind::Pdu(_));
        // With two poles the neutral carries what the line carries, which is judged there.
        if is_judged && analysis.graph.conductors_of(id).len() > 2 {
            findings.extend(judge(analysis, id, &mut undecided, &mut silent));
        }
    }
    findings.extend(undecided.findings(&RULE, analysis));
    findings.extend(
        silent
            .into_iter()
            .flat_map(|silent| silent.findings(analysis)),
    );
}

fn judge(
    analysis: &Analysis<'_>,
    id: ElementId,
    undecided: &mut Undecided,
    silent: &mut Option<Silent>,
) -> Option<Finding> {
    let worst = analysis.flows.worst_on(analysis.graph, id, Pole::N)?;
    let bound = analysis.neutral_limit(id)?;
    // A load that is not known may as well relieve the neutral as burden it.
    if let Some(device) = analysis.flows.unknown_below(id) {
        undecided.add(device, id, None, bound.basis.first());
        return None;
    }
    if analysis.flows.unsummed_below(id).is_some() {
        return None;
    }
    if !exceeds(worst.current, bound.current) {
        if let Some(silent) = silent {
            silent.add(analysis, &worst, id, &bound);
        }
        return None;
    }
    let carried = Carried {
        id,
        pole: Pole::N,
        current: worst.current,
        lost: worst.lost,
    };
    Some(finding(analysis, &carried, &bound))
}
