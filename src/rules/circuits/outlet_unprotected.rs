//! `outlet-unprotected`: is an outlet rated below the overcurrent device ahead of it?
//!
//! The device ahead is the bank's own breaker or, where the bank has none, the circuit's.

mod verdict;
mod words;

use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::pdus::Bank;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::rules::rule;
use crate::survey::Survey;
use crate::tables::Practice;

use verdict::{Verdict, judge};
use words::{Bare, finding, open};

rule!(
    "outlet-unprotected",
    Circuits,
    Error,
    "An outlet rated below the breaker ahead of it: it can burn long before that breaker trips."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = survey.practice() else {
        return;
    };
    for (id, element) in survey.graph.elements() {
        if let ElementKind::Pdu(_) = element.kind {
            findings.extend(strip(survey, practice, id));
        }
    }
}

/// The first outlet of a strip that its breaker does not protect; one finding for each strip.
fn strip(survey: &Survey<'_>, practice: Practice, id: ElementId) -> Option<Finding> {
    let ElementKind::Pdu(pdu) = survey.graph.kind(id) else {
        return None;
    };
    let model = survey.graph.pdu_model(survey.model, pdu)?;
    let mut undecided = None;
    for bank in model.banks.items() {
        let Some(ahead) = ahead(survey, id, bank) else {
            continue;
        };
        for outlet in bank.outlets.as_written() {
            match judge(survey, practice, outlet, ahead) {
                Verdict::Protected => {}
                Verdict::Bare {
                    link,
                    rated,
                    allowed,
                    basis,
                } => {
                    let bare = Bare {
                        id,
                        bank,
                        outlet,
                        link,
                        rated,
                        allowed,
                        basis,
                        ahead,
                    };
                    return Some(finding(survey, &bare));
                }
                Verdict::Unknown(link) => undecided = undecided.or(Some((outlet, link))),
            }
        }
    }
    undecided.map(|(outlet, link)| open(survey, id, outlet, link))
}

/// The overcurrent device ahead of a bank's outlets.
fn ahead<'a>(survey: &Survey<'a>, pdu: ElementId, bank: &'a Bank) -> Option<&'a Spanned<Current>> {
    match bank.breaker.get() {
        Some(breaker) => breaker.rating.given(),
        None if !bank.breaker.is_absent() => None,
        // A strip that is fed from another strip stands behind that strip's bank.
        None => survey
            .graph
            .upwards(pdu)
            .find_map(|hop| survey.breaker_rating(hop)),
    }
}
