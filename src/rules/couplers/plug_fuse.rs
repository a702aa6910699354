//! `plug-fuse`: does the fuse in a BS 1363 plug suit the cord behind it and the load?

mod behind;
mod load;
mod plug;

use crate::analysis::{Analysis, exceeds};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::ElementId;
use crate::rules::rule;

use super::unknown_load::UnknownLoads;
use plug::Plug;

rule!(
    "plug-fuse",
    Couplers,
    Error,
    "A plug fuse larger than the cord bears, so that a short circuit burns the cord, or smaller than the load, so that it runs hot and may blow."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (id, kind) in analysis.model.cord_types.iter() {
        let users = || analysis.cords_of(id).cloned();
        let draft = Plug::of_cord(kind).and_then(|plug| plug.judged());
        findings.extend(draft.map(|draft| draft.suffered_by(users()).finish()));
    }
    for (id, model) in analysis.model.pdu_models.iter() {
        let users = || analysis.pdus_of(id).cloned();
        let draft = Plug::of_strip(model).and_then(|plug| plug.judged());
        findings.extend(draft.map(|draft| draft.suffered_by(users()).finish()));
    }
    findings.extend(behind::judged(analysis));
    let mut unknown = UnknownLoads::default();
    for (id, _) in analysis.graph.elements() {
        let fuse = analysis.plug_fuse(id);
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

fn as_marked() -> Citation {
    Citation::marked("rating as marked on the fuse")
}
