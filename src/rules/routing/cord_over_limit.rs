//! `cord-over-limit`: is a power-supply cord of an Article 645 room longer than that article allows?

use std::collections::BTreeSet;

use crate::citation::{Citation, Cited};
use crate::finding::{Finding, Place};
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::places::Zone;
use crate::model::text::YesNo;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::quantity::{Length, Quantity};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, field_or_name, place};
use crate::tables::{Practice, limits};

use super::stock::{as_written, chosen_at, is_above, names, next_length, type_length};

rule!(
    "cord-over-limit",
    Routing,
    Error,
    "A power-supply cord longer than NEC Article 645 allows in its room: trodden on, and slow to clear a fault."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let (Some(Practice::Nec), Some(limit)) = (survey.practice(), limits::cord_in_it_room()) else {
        return;
    };
    let mut unsaid = BTreeSet::new();
    for (cord, _) in survey.model.cords.iter() {
        if let Some(zone) = survey.zones_of_cord(cord).find(|zone| is_it_room(zone)) {
            for end in survey.graph.links.cord_ends(cord) {
                match survey.length_of(cord, end.leg) {
                    Some(length) if is_above(length, limit.value) => {
                        findings.push(cord_too_long(survey, (cord, end.leg), zone, length, &limit));
                    }
                    Some(_) => {}
                    None => findings.extend(cord_unknown(survey, cord, zone, &limit, &mut unsaid)),
                }
            }
        }
    }
    for (pdu, _) in survey.model.pdus.iter() {
        if let Some(zone) = survey.zone_of_pdu(pdu).filter(|zone| is_it_room(zone)) {
            findings.extend(input_cord(survey, pdu, zone, &limit, &mut unsaid));
        }
    }
}

fn is_it_room(zone: &Zone) -> bool {
    zone.article_645.get() == Some(&YesNo(true))
}

fn room(zone: &Named<Zone>) -> Place {
    let note = format!("zone {} is an Article 645 room", zone.name.value);
    place(field_or_name(&zone.article_645, &zone.name), note)
}

fn headline(what: &str, length: Length, limit: Length) -> String {
    let (length, limit) = as_written(length, limit);
    format!(
        "{what} is {length} long, above the {limit} of an Article 645 room: over so long a way cords are trodden on and pinched, and people may touch what wears through"
    )
}

fn cord_too_long(
    survey: &Survey<'_>,
    (cord, leg): (Id<Cord>, Option<u32>),
    zone: &Named<Zone>,
    length: Length,
    limit: &Cited<Length>,
) -> Finding {
    let (what, name) = names(survey, cord, leg);
    let nearer = "feed it from an outlet nearer by";
    let least = least_way(survey, cord);
    let most = Some(limit.value + crate::quantity::millimetres(1e-3));
    let advice = match least.and_then(|least| next_length(survey, cord, least, most)) {
        Some(shorter) => format!("Take {shorter}, or {nearer}."),
        None => format!(
            "Take a cord of {} or less and {nearer}.",
            limit.value.show()
        ),
    };
    Draft::new(
        &RULE,
        headline(&what, length, limit.value),
        chosen_at(survey, cord),
        format!("{what}: {}", length.show()),
        limit.citation.clone(),
    )
    .above([room(zone)])
    .below(type_length(survey, cord))
    .below(survey.ends_of(cord))
    .working([format!(
        "{} − {} = {} too long",
        length.show(),
        limit.value.show(),
        (length - limit.value).show()
    )])
    .advice(advice)
    .about([name])
    .finish()
}

/// What a shorter cord must still reach: the longest of its ways; `None` if one is not known.
fn least_way(survey: &Survey<'_>, cord: Id<Cord>) -> Option<Length> {
    let ends = survey.graph.links.cord_ends(cord).iter();
    let ways = ends.map(|end| Some(survey.route(cord, end.at)?.ok()?.length()));
    ways.reduce(|a, b| Some(a?.max(b?)))?
}

/// The input cord of a strip.
fn input_cord(
    survey: &Survey<'_>,
    pdu: Id<Pdu>,
    zone: &Named<Zone>,
    limit: &Cited<Length>,
    unsaid: &mut BTreeSet<Span>,
) -> Option<Finding> {
    let model = &survey.model.pdu_models[survey.graph.links.pdu_models[pdu.index()]?];
    let field = model.cord.get().map_or(&Field::Absent, |cord| &cord.length);
    let strip = &survey.model.pdus[pdu];
    let Some(length) = field.given() else {
        let what = format!("the input cord of PDU model {}", model.name.value);
        return unknown(
            &what,
            &model.name,
            field_or_name(field, &model.name),
            zone,
            limit,
            unsaid,
        );
    };
    if !is_above(length.value, limit.value) {
        return None;
    }
    let what = format!("the input cord of PDU {}", strip.name.value);
    let place_of_model = field_or_name(&strip.model, &strip.name);
    let draft = Draft::new(
        &RULE,
        headline(&what, length.value, limit.value),
        place_of_model,
        format!("PDU {}", strip.name.value),
        limit.citation.clone(),
    )
    .above([room(zone)])
    .below([place(
        length.span,
        format!("model {}: {}", model.name.value, length.value.show()),
    )])
    .advice("Order the strip with a shorter input cord, or have the receptacle set nearer to it.")
    .about([strip.name.value.clone()]);
    Some(draft.finish())
}

fn cord_unknown(
    survey: &Survey<'_>,
    cord: Id<Cord>,
    zone: &Named<Zone>,
    limit: &Cited<Length>,
    unsaid: &mut BTreeSet<Span>,
) -> Option<Finding> {
    let item = &survey.model.cords[cord];
    let kind = survey.graph.links.cord_types[cord.index()];
    let (what, owner, field) = match kind.map(|kind| &survey.model.cord_types[kind]) {
        Some(kind) if item.length.is_absent() => ("cord type", &kind.name, &kind.length),
        _ => ("cord", &item.name, &item.length),
    };
    let what = format!("{what} {}", owner.value);
    unknown(
        &what,
        owner,
        field_or_name(field, owner),
        zone,
        limit,
        unsaid,
    )
}

/// That a length is not known, once for each thing that lacks it.
fn unknown(
    what: &str,
    owner: &Spanned<Name>,
    at: Span,
    zone: &Named<Zone>,
    limit: &Cited<Length>,
    unsaid: &mut BTreeSet<Span>,
) -> Option<Finding> {
    if !unsaid.insert(at) {
        return None;
    }
    let shown = limit.value.show();
    let headline = format!(
        "whether {what} keeps to the {shown} of an Article 645 room cannot be said: its length is missing"
    );
    let citation: Citation = limit.citation.clone();
    let draft = Draft::new(&RULE, headline, at, "its length is missing", citation)
        .open()
        .above([room(zone)])
        .about([owner.value.clone()])
        .advice("Write its length.");
    Some(draft.finish())
}
