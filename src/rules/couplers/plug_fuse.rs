//! `plug-fuse`: does the fuse in a BS 1363 plug suit the cord behind it and the load?

mod cord;
mod load;

use crate::analysis::{Analysis, exceeds};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::CordType;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::rules::rule;

use super::unknown_load::UnknownLoads;

rule!(
    "plug-fuse",
    Couplers,
    Error,
    "A plug fuse larger than the cord bears, so that a short circuit burns the cord, or smaller than the load, so that it runs hot and may blow."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (id, kind) in analysis.model.cord_types.iter() {
        let users = || analysis.cords_of(id).cloned();
        findings.extend(cord::judged(kind).map(|draft| draft.suffered_by(users()).finish()));
    }
    let mut unknown = UnknownLoads::default();
    for (id, element) in analysis.graph.elements() {
        let fuse = fuse_of(analysis, element.kind);
        let worst = analysis.flows.worst(analysis.graph, id);
        let Some((fuse, worst)) = fuse.zip(worst) else {
            continue;
        };
        if exceeds(worst.current, fuse.value) {
            findings.push(load::too_small(analysis, id, fuse, worst));
        } else {
            let below = analysis.graph.below(id).map(ElementId);
            below.for_each(|id| unknown.meet(analysis, id));
        }
    }
    let question = "is a plug fuse too small for its load";
    unknown.report(analysis, &RULE, question, |_| as_marked(), findings);
}

/// The fuse in the plug of a cord.
fn fuse_of<'a>(analysis: &Analysis<'a>, kind: ElementKind) -> Option<&'a Spanned<Current>> {
    let ElementKind::Cord(cord) = kind else {
        return None;
    };
    let kind = analysis.graph.cord_type(analysis.model, cord)?;
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
