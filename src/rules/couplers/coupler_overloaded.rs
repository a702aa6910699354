//! `coupler-overloaded`: does every coupler bear the worst current that it will carry?
//!
//! Splitters are judged as a whole by a rule of their own; a PDU whose own rating is the lower limit
//! is a matter of its circuit.

mod passed_on;
mod told;

use crate::analysis::{Analysis, Rating, exceeds};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, InUnits, amperes};
use crate::rules::rule;

use super::halves::{Half, pairs};
use super::unknown_load::UnknownLoads;
use passed_on::Unmarked;

rule!(
    "coupler-overloaded",
    Couplers,
    Error,
    "A coupler that must carry more than it is rated for: its contacts overheat and char, and the device drops."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // Without a practice no coupler has a rating, which is an error of its own.
    if analysis.practice().is_none() {
        return;
    }
    let (mut unknown, mut unmarked) = (UnknownLoads::default(), Unmarked::default());
    for (id, element) in analysis.graph.elements() {
        let has_couplers = matches!(
            element.kind,
            ElementKind::Cord(_) | ElementKind::Leg(..) | ElementKind::Pdu(_)
        );
        let worst = analysis.flows.worst(analysis.graph, id);
        let Some(worst) = worst.filter(|_| has_couplers) else {
            continue;
        };
        if !is_of_splitter(analysis, id) {
            match judged(analysis, id, worst) {
                Some(finding) => {
                    findings.push(finding);
                    continue;
                }
                None => findings.extend(told::unrated(analysis, id)),
            }
        }
        unmarked.meet(analysis, id);
        unknown.meet(analysis, id);
    }
    findings.extend(unmarked.findings());
    let basis = |id| rating_source(analysis, id);
    unknown.report(analysis, &RULE, "is a coupler overloaded", basis, findings);
}

fn is_of_splitter(analysis: &Analysis<'_>, id: ElementId) -> bool {
    match analysis.graph.kind(id) {
        ElementKind::Cord(cord) => analysis
            .graph
            .cord_type(analysis.model, cord)
            .is_some_and(|kind| !kind.legs.is_empty()),
        kind => matches!(kind, ElementKind::Leg(..)),
    }
}

/// A half with what it may carry.
type Rated<'a> = (Half<'a>, Rating);

fn rated<'a>(analysis: &Analysis<'a>, id: ElementId) -> Vec<Rated<'a>> {
    let mut all = Vec::new();
    for pair in pairs(analysis, id) {
        let plug = pair.pins.map(|pins| &*pins.coupler.value);
        all.extend(pair.halves().map(|half| {
            let own = (&*half.coupler.value, half.owner.side());
            let rating = analysis.coupler_rating(own, plug, half.mark);
            (half, rating)
        }));
    }
    all
}

fn judged(analysis: &Analysis<'_>, id: ElementId, worst: Worst) -> Option<Finding> {
    let all = rated(analysis, id);
    let known = all
        .iter()
        .filter_map(|(half, rating)| Some((half, rating, rating.current()?)));
    // Of equally low ones the cord's own half comes first: it is what gets changed.
    let (half, rating, limit) = known.min_by(|a, b| {
        let order = a.2.in_amperes().total_cmp(&b.2.in_amperes());
        order.then(b.0.owner.is_of_cord().cmp(&a.0.owner.is_of_cord()))
    })?;
    let is_over = exceeds(worst.current, limit) && limit < own_rating(analysis, id);
    is_over.then(|| told::overloaded(analysis, id, worst, (half, rating, limit), &all))
}

/// The rating of a PDU itself; where it is no higher than its plug's, it is the limit.
fn own_rating(analysis: &Analysis<'_>, id: ElementId) -> Current {
    let pdu = match analysis.graph.kind(id) {
        ElementKind::Pdu(pdu) => analysis.graph.pdu_model(analysis.model, pdu),
        _ => None,
    };
    let rating = pdu.and_then(|model| model.rating.known().copied());
    rating.unwrap_or(amperes(f64::INFINITY))
}

/// What the rating of the first coupler rests on.
fn rating_source(analysis: &Analysis<'_>, id: ElementId) -> Citation {
    let all = rated(analysis, id);
    let first = all.iter().find_map(|(_, rating)| rating.basis().first());
    first
        .cloned()
        .unwrap_or_else(|| Citation::marked("rated current as marked"))
}
