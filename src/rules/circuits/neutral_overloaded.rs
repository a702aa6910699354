//! `neutral-overloaded`: does the neutral of several lines carry more than it may, third harmonics
//! counted where they are given?

mod silent;
mod words;

use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::rules::rule;
use crate::survey::{Survey, exceeds};

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

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut undecided = Undecided::new("is the neutral of ", " overloaded");
    let mut silent = Silent::of(survey);
    for (id, element) in survey.graph.elements() {
        let is_judged = matches!(element.kind, ElementKind::Circuit(_) | ElementKind::Pdu(_));
        // With two poles the neutral carries what the line carries, which is judged there.
        if is_judged && survey.graph.conductors_of(id).len() > 2 {
            findings.extend(judge(survey, id, &mut undecided, &mut silent));
        }
    }
    findings.extend(undecided.findings(&RULE, survey));
    findings.extend(
        silent
            .into_iter()
            .flat_map(|silent| silent.findings(survey)),
    );
}

fn judge(
    survey: &Survey<'_>,
    id: ElementId,
    undecided: &mut Undecided,
    silent: &mut Option<Silent>,
) -> Option<Finding> {
    let worst = survey.flows.worst_on(survey.graph, id, Pole::N)?;
    let bound = survey.neutral_limit(id)?;
    // A load that is not known may as well relieve the neutral as burden it.
    if let Some(device) = survey.flows.unknown_below(id) {
        undecided.add(device, id, None, bound.basis.first());
        return None;
    }
    if !exceeds(worst.current, bound.current) {
        if let Some(silent) = silent {
            silent.add(survey, &worst, id, &bound);
        }
        return None;
    }
    let carried = Carried {
        id,
        pole: Pole::N,
        current: worst.current,
        lost: worst.lost,
    };
    Some(finding(survey, &carried, &bound))
}
