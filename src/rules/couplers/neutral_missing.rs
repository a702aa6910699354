//! `neutral-missing`: does a PDU with line-to-neutral outlets get a neutral?

mod told;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind, PduFeed};
use crate::model::circuits::Pole;
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::rules::rule;
use crate::tables::couplers::Neutral;

use super::halves::pairs;
use told::{circuit_without, outlet_without, plug, receptacle};

rule!(
    "neutral-missing",
    Couplers,
    Error,
    "Outlets between line and neutral where no neutral arrives: they are dead, or float to a voltage that burns equipment."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (id, model) in analysis.model.pdu_models.iter() {
        let users = || analysis.pdus_of(id).cloned();
        findings.extend(plug(model).map(|draft| draft.suffered_by(users()).finish()));
    }
    for (id, element) in analysis.graph.elements() {
        if let ElementKind::Pdu(pdu) = element.kind {
            findings.extend(feed(analysis, id, pdu));
        }
    }
}

/// Nothing is known to keep a neutral from the strip at its own end, but what it hangs on has none.
fn feed(analysis: &Analysis<'_>, id: ElementId, pdu: Id<Pdu>) -> Option<Finding> {
    let model = analysis.graph.pdu_model(analysis.model, pdu)?;
    let bank = model.wants_neutral()?;
    let plug = model.plug.known();
    if plug.is_some_and(|plug| plug.poles.neutral == Neutral::None) {
        return None;
    }
    let contacts = pairs(analysis, id).find_map(|pair| pair.contacts);
    let dry = contacts.filter(|half| half.coupler.value.poles.neutral == Neutral::None);
    if let Some(half) = dry {
        return Some(receptacle(analysis, id, &half, bank));
    }
    let feeder = analysis.graph.element(id).feeder?;
    let poles = analysis.graph.conductors_of(feeder);
    let is_dry = !poles.is_empty() && analysis.graph.conductor(feeder, Pole::N).is_none();
    match analysis.graph.links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(circuit) => {
            circuit_without(analysis, id, circuit, bank).filter(|_| is_dry)
        }
        PduFeed::Outlet(..) | PduFeed::Cord(..) => {
            is_dry.then(|| outlet_without(analysis, id, bank))
        }
    }
}
