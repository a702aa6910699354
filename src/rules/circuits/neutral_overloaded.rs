//! `neutral-overloaded`: does the neutral of several lines carry more than it may, third harmonics
//! counted where they are given?

mod silent;
mod words;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::quantity::Current;
use crate::rules::rule;
use crate::survey::{Rating, Survey, exceeds};

use super::limit::{Limits, Part};
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
    let mut undecided = Undecided::new("the neutral of ", " is overloaded");
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

/// What the neutral may carry.
struct Bound {
    current: Current,
    what: &'static str,
    at: crate::source::Span,
    basis: Vec<Citation>,
}

fn judge(
    survey: &Survey<'_>,
    id: ElementId,
    undecided: &mut Undecided,
    silent: &mut Option<Silent>,
) -> Option<Finding> {
    let worst = survey.flows.worst_on(survey.graph, id, Pole::N)?;
    let bound = bound(survey, id)?;
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

/// The lowest of breaker or input rating and of the conductor's own capacity.
fn bound(survey: &Survey<'_>, id: ElementId) -> Option<Bound> {
    let limits = Limits::of(survey, id)?;
    let rating = limits.rating();
    let capacity = survey.capacity(id).flatten();
    let is_conductor =
        capacity.is_some_and(|capacity| rating.is_none_or(|rating| capacity < rating.current));
    if is_conductor && let Some(conductor) = conductor(survey, id) {
        return Some(conductor);
    }
    rating.map(|limit| Bound {
        current: limit.current,
        what: match limit.part {
            Part::Breaker => "its breaker",
            Part::Strip => "its rating",
            Part::Plug => "its plug",
            Part::Receptacle => "its receptacle",
        },
        at: limit.at,
        basis: limit.basis.clone(),
    })
}

fn conductor(survey: &Survey<'_>, id: ElementId) -> Option<Bound> {
    match survey.conductor_rating(id)? {
        Rating::Known { current, basis, .. } => Some(Bound {
            current,
            what: "its conductor",
            at: survey.place_of(id),
            basis,
        }),
        _ => None,
    }
}
