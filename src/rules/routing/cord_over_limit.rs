//! `cord-over-limit`: is a power-supply cord of an Article 645 room longer than that article allows?

use std::collections::BTreeSet;

use crate::citation::Cited;
use crate::finding::{Finding, Place};
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::places::Zone;
use crate::model::text::YesNo;
use crate::model::value::{Field, Id, Named};
use crate::quantity::{Length, Quantity};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Lack, Survey, absence, field_or_name, place};
use crate::tables::limits;

use super::stock::{
    as_written, chosen_at, is_above, missing_length, names, next_length, type_length,
};

rule!(
    "cord-over-limit",
    Routing,
    Error,
    "A power-supply cord longer than NEC Article 645 allows in its room: trodden on, and slow to clear a fault.",
    only under Nec
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let (true, Some(limit)) = (RULE.binds(survey.practice()), limits::cord_in_it_room()) else {
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
                    None => {
                        let lack = missing_length(survey, cord, end.leg);
                        let what = lack.owner.map_or("", |owner| owner.value.as_str());
                        if unsaid.insert(lack.span) {
                            let what = format!("{} {what}", lack.what);
                            findings.push(unknown(&what, &lack, zone, &limit));
                        }
                    }
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
        None => format!("Use a cord of {} or less and {nearer}.", limit.value.show()),
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
        let lack = Lack {
            what: "PDU model",
            owner: Some(&model.name),
            missing: "its length",
            how: absence(field),
            span: field_or_name(field, &model.name),
        };
        let what = format!("the input cord of PDU model {}", model.name.value);
        return unsaid
            .insert(lack.span)
            .then(|| unknown(&what, &lack, zone, limit));
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
    .advice("Order the PDU with a shorter input cord, or have the receptacle set nearer to it.")
    .about([strip.name.value.clone()]);
    Some(draft.finish())
}

/// That a length is not known.
fn unknown(what: &str, lack: &Lack<'_>, zone: &Named<Zone>, limit: &Cited<Length>) -> Finding {
    let (shown, how) = (limit.value.show(), lack.how);
    let missing = lack.missing;
    let headline = format!(
        "whether {what} keeps to the {shown} of an Article 645 room cannot be said: {missing} {how}"
    );
    let note = format!("{missing} {how}");
    Draft::new(&RULE, headline, lack.span, note, limit.citation.clone())
        .open()
        .above([room(zone)])
        .about(lack.owner.map(|owner| owner.value.clone()))
        .advice(format!("Write {missing}."))
        .finish()
}
