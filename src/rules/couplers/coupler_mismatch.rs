//! `coupler-mismatch`: does every plug enter its outlet, and every connector its inlet?

mod advice;
mod blame;
mod place;
mod receptacle;
mod told;

use crate::analysis::Analysis;
use crate::rules::rule;
use crate::tables::couplers::{Role, Side};
use crate::tables::mating::Mate;

use super::halves::{Half, Owner, Pair, pairs};
use blame::Blame;
use place::WrongTypes;

rule!(
    "coupler-mismatch",
    Couplers,
    Error,
    "A plug that does not enter its outlet, or a connector its inlet: the cord cannot be fitted, or is forced."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<crate::finding::Finding>) {
    findings.extend(receptacle::missing(analysis));
    let mut all_apart = Vec::new();
    for (id, _) in analysis.graph.elements() {
        for pair in pairs(analysis, id) {
            match wrong_half(&pair) {
                Some((half, wanted)) => {
                    findings.push(told::wrong_half(analysis, id, &half, wanted))
                }
                None => all_apart.extend(apart(&pair)),
            }
        }
    }
    if all_apart.is_empty() {
        return;
    }
    let types = WrongTypes::among(analysis, &all_apart);
    let found = all_apart.iter().map(|apart| {
        let blame = Blame::of(analysis, apart);
        told::apart(analysis, apart, blame, types.place(analysis, apart, blame))
    });
    findings.extend(found);
}

/// Two halves that do not go together, or are not known to.
struct Apart<'a> {
    pair: Pair<'a>,
    /// The half of the cord, or of the PDU's own cord.
    own: Half<'a>,
    /// What it should be fitted to.
    mate: Half<'a>,
    /// The tables' answer.
    answer: Mate,
}

/// What is not known here is missing from the definitions, which the rules of the records report.
fn apart<'a>(pair: &Pair<'a>) -> Option<Apart<'a>> {
    let (contacts, pins) = pair.both()?;
    let answer = pair.mate().filter(|answer| !answer.fits())?;
    // Where a cord or a strip is plugged into a cord, the pair is that of the plug.
    let (own, mate) = match pins.owner {
        Owner::Inlet(_) => (contacts, pins),
        _ => (pins, contacts),
    };
    Some(Apart {
        pair: *pair,
        own,
        mate,
        answer,
    })
}

/// A half that is impossible by itself, a plug that is written as a connector or the reverse; and
/// what is wanted there.
fn wrong_half<'a>(pair: &Pair<'a>) -> Option<(Half<'a>, Side)> {
    let (contacts, pins) = pair.both()?;
    if contacts.coupler.value.role == Role::Pins {
        return Some((contacts, Side::Contacts));
    }
    (pins.coupler.value.role == Role::Contacts).then_some((pins, Side::Pins))
}
