//! `coupler-mismatch`: does every plug enter its outlet, and every connector its inlet?

use crate::finding::Finding;
use crate::graph::ElementId;
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};
use crate::tables::couplers::{Role, Side};
use crate::tables::mating::{self, Mate};

use super::catalogue;
use super::halves::{Half, Owner, Pair, pairs};

rule!(
    "coupler-mismatch",
    Couplers,
    Error,
    "A plug that does not enter its outlet, or a connector its inlet: the cord cannot be fitted, or is forced."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for (id, _) in survey.graph.elements() {
        findings.extend(pairs(survey, id).filter_map(|pair| judged(survey, &pair)));
    }
}

/// What is not known here is missing from the definitions, which the rules of the records report.
fn judged(survey: &Survey<'_>, pair: &Pair<'_>) -> Option<Finding> {
    let (contacts, pins) = pair.both()?;
    if contacts.coupler.value.role == Role::Pins {
        return Some(wrong_half(survey, pair, &contacts, Side::Contacts));
    }
    if pins.coupler.value.role == Role::Contacts {
        return Some(wrong_half(survey, pair, &pins, Side::Pins));
    }
    // The cord is what gets changed: its own half is the main place.
    let (own, mate) = match contacts.owner.is_of_cord() {
        true => (contacts, pins),
        false => (pins, contacts),
    };
    let apart = |verb, why: &str, citation| {
        let headline = headline(survey, pair.id, &own, &mate, verb);
        let note = format!("{}: {why}", own.name());
        let draft = Draft::new(&RULE, headline, own.coupler.span, note, citation);
        shown(survey, pair.id, &own, &mate, draft)
    };
    match pair.mate()? {
        Mate::Fits { .. } => None,
        Mate::DoesNotFit { why, citation } => {
            Some(apart("does not enter", &why, citation.clone()).finish())
        }
        Mate::Unknown { why, citation } => {
            let draft = apart("is not known to enter", why, citation.clone());
            Some(draft.open().finish())
        }
    }
}

fn headline(
    survey: &Survey<'_>,
    id: ElementId,
    own: &Half<'_>,
    mate: &Half<'_>,
    verb: &str,
) -> String {
    let (cord, what) = (survey.describe(id), mate.what(survey));
    let (own_name, mate_name) = (own.name(), mate.name());
    match own.owner {
        Owner::Connector(_) => {
            format!("{cord} cannot feed {what}: its connector {own_name} {verb} {mate_name}")
        }
        _ => {
            format!("{cord} cannot be plugged into {what}: its plug {own_name} {verb} {mate_name}")
        }
    }
}

fn shown(
    survey: &Survey<'_>,
    id: ElementId,
    own: &Half<'_>,
    mate: &Half<'_>,
    draft: Draft,
) -> Draft {
    let draft = draft
        .about([survey.full_name(id)])
        .advice(advice(survey, id, own, mate));
    let (cord, mate) = (survey.hop(id), mate.place(survey, ""));
    match own.owner {
        Owner::Connector(_) => draft.above([cord]).below([mate]).kind("connector"),
        _ => draft.above([mate]).below([cord]).kind("plug"),
    }
}

fn advice(survey: &Survey<'_>, id: ElementId, own: &Half<'_>, mate: &Half<'_>) -> String {
    let never = format!(
        "{} and {} must not be forced together.",
        own.name(),
        mate.name()
    );
    if let Some(kind) = catalogue::instead(survey, id, |_| true) {
        return format!("Order {kind} of the cord types here; {never}");
    }
    let fitting = match own.owner {
        Owner::Connector(_) => mating::suitable_for_inlet(mate.coupler.value),
        _ => mating::suitable_plugs_for(mate.coupler.value),
    };
    match (fitting.first(), own.owner) {
        (Some(first), Owner::PduPlug(_)) => {
            format!("Choose a PDU with {first} here, or change the receptacle; {never}")
        }
        (Some(first), _) => format!("Order a cord with {first} here; {never}"),
        (None, _) => format!(
            "Ask for the mate of {} by its standard; {never}",
            mate.name()
        ),
    }
}

/// The half itself is impossible: a plug that is written as a connector, or the reverse.
fn wrong_half(survey: &Survey<'_>, pair: &Pair<'_>, half: &Half<'_>, wanted: Side) -> Finding {
    let (is, should) = match wanted {
        Side::Contacts => ("pins", "contacts"),
        Side::Pins => ("contacts", "pins"),
    };
    let name = half.name();
    let headline = format!(
        "{} is given as {name}, which has {is}; {should} are wanted there",
        half.what(survey)
    );
    let citation = half.coupler.value.citation.clone();
    Draft::new(&RULE, headline, half.coupler.span, format!("{name} has {is}"), citation)
        .above([place(survey.name(pair.id).span, survey.describe(pair.id))])
        .about([survey.full_name(pair.id)])
        .kind("wrong-half")
        .advice("Write the mating half: in each IEC 60320 pair the odd number has contacts, the even one pins.")
        .finish()
}
