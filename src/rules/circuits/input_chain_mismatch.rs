//! `input-chain-mismatch`: do breaker, receptacle, plug and PDU agree in rating and poles?

mod outlets;
mod pdu_rating;
mod plug;
mod poles;
mod ratings;
mod receptacle;
mod sizes;
mod unknown;
mod wired;

use crate::analysis::Analysis;
use crate::citation::Cited;
use crate::finding::{Finding, Level};
use crate::quantity::Current;
use crate::rules::rule;

rule!(
    "input-chain-mismatch",
    Circuits,
    Error,
    "Breaker, receptacle, plug and PDU do not agree: a part carries more than it is made for and nothing trips."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    poles::check(analysis, findings);
    outlets::check(analysis, findings);
    let practice = analysis.practice();
    let pdus = analysis.model.pdus.iter();
    findings.extend(pdus.filter_map(|(pdu, _)| wired::check(analysis, practice, pdu)));
    // Without a practice no coupler has a rating; that it is missing is said elsewhere.
    if let Some(practice) = practice {
        ratings::check(analysis, practice, findings);
    }
}

/// A rated current that is not firm makes no error by itself.
fn level_of(rated: &Cited<Current>) -> Level {
    match rated.citation.confidence.is_firm() {
        true => Level::Error,
        false => Level::Warning,
    }
}
