//! The ratings of breaker, receptacle, plug and PDU.

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::PduFeed;
use crate::model::circuits::Circuit;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::tables::Practice;

use super::pdu_rating;
use super::plug::plug;
use super::receptacle::receptacle;

/// The rating of a circuit's breaker, and where it stands.
pub(super) fn breaker(circuit: &Circuit) -> Option<&Spanned<Current>> {
    circuit.breaker.known()?.rating.given()
}

pub(super) fn check(analysis: &Analysis<'_>, practice: Practice, findings: &mut Vec<Finding>) {
    let mut too_small = vec![false; analysis.model.circuits.len()];
    for (circuit, item) in analysis.model.circuits.iter() {
        let found = receptacle(analysis, practice, circuit, item);
        too_small[circuit.index()] = found.is_some();
        findings.extend(found);
    }
    for (pdu, item) in analysis.model.pdus.iter() {
        if let Some(PduFeed::Circuit(circuit)) = analysis.graph.links.pdu_feeds[pdu.index()]
            // A receptacle that is too small already says what its plug would say.
            && !too_small[circuit.index()]
        {
            findings.extend(plug(analysis, practice, circuit, pdu, item));
        }
    }
    for (id, model) in analysis.model.pdu_models.iter() {
        let found = pdu_rating::check(practice, model);
        let users = || analysis.pdus_of(id).cloned();
        findings.extend(found.map(|draft| draft.suffered_by(users()).finish()));
    }
}
