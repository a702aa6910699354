//! `plug-fuse`: does the fuse in a BS 1363 plug suit the cord behind it and the load?

mod cord;
mod load;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::CordType;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::rules::rule;
use crate::survey::{Survey, exceeds};

use super::unknown_load::UnknownLoads;

rule!(
    "plug-fuse",
    Couplers,
    Error,
    "A plug fuse larger than the cord bears, so that a short circuit burns the cord, or smaller than the load, so that it runs hot and may blow."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for (id, kind) in survey.model.cord_types.iter() {
        let users = || survey.cords_of(id).cloned();
        findings.extend(cord::judged(kind).map(|draft| draft.suffered_by(users()).finish()));
    }
    let mut unknown = UnknownLoads::default();
    for (id, element) in survey.graph.elements() {
        let fuse = fuse_of(survey, element.kind);
        let worst = survey.flows.worst(survey.graph, id);
        let Some((fuse, worst)) = fuse.zip(worst) else {
            continue;
        };
        if exceeds(worst.current, fuse.value) {
            findings.push(load::too_small(survey, id, fuse, worst));
        } else {
            let below = survey.graph.below(id).map(ElementId);
            below.for_each(|id| unknown.meet(survey, id));
        }
    }
    let question = "is a plug fuse too small for its load";
    unknown.report(survey, &RULE, question, |_| as_marked(), findings);
}

/// The fuse in the plug of a cord.
fn fuse_of<'a>(survey: &Survey<'a>, kind: ElementKind) -> Option<&'a Spanned<Current>> {
    let ElementKind::Cord(cord) = kind else {
        return None;
    };
    let kind = survey.graph.cord_type(survey.model, cord)?;
    // One that cannot be read is asked of its type.
    let fuse = kind.fuse.written().ok().flatten();
    fuse.filter(|_| is_fused(kind))
}

fn is_fused(kind: &CordType) -> bool {
    kind.plug.known().is_some_and(|plug| plug.fused)
}

fn as_marked() -> Citation {
    Citation::marked("rating as marked on the fuse")
}
