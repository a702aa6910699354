//! The ratings of breaker, receptacle, plug and PDU.

use crate::finding::Finding;
use crate::graph::PduFeed;
use crate::survey::Survey;
use crate::tables::Practice;

use super::pdu_rating;
use super::plug::plug;
use super::receptacle::receptacle;

pub(super) fn check(survey: &Survey<'_>, practice: Practice, findings: &mut Vec<Finding>) {
    let mut too_small = vec![false; survey.model.circuits.len()];
    for (circuit, item) in survey.model.circuits.iter() {
        let found = receptacle(survey, practice, circuit, item);
        too_small[circuit.index()] = found.is_some();
        findings.extend(found);
    }
    for (pdu, item) in survey.model.pdus.iter() {
        if let Some(PduFeed::Circuit(circuit)) = survey.graph.links.pdu_feeds[pdu.index()]
            // A receptacle that is too small already says what its plug would say.
            && !too_small[circuit.index()]
        {
            findings.extend(plug(survey, practice, circuit, pdu, item));
        }
    }
    for (id, model) in survey.model.pdu_models.iter() {
        let found = pdu_rating::check(practice, model);
        let users = || survey.pdus_of(id).cloned();
        findings.extend(found.map(|draft| draft.suffered_by(users()).finish()));
    }
}
