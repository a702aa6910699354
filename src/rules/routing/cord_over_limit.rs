//! `cord-over-limit`: is a power-supply cord of an Article 645 room longer than that article allows?

mod input;

use crate::analysis::{Analysis, Lack, field_or_name, place};
use crate::citation::Cited;
use crate::finding::{Fact, Finding, Measure, Place};
use crate::graph::Receiver;
use crate::model::cords::Cord;
use crate::model::places::Zone;
use crate::model::value::{Id, Name, Named};
use crate::quantity::{Length, Quantity};
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::tables::constants;

use super::places::{chosen_at, line_name, missing_length, names, sharer, type_length};
use super::stock::{as_written, is_above, next_length};
use input::input_cord;

rule!(
    "cord-over-limit",
    Routing,
    Error,
    "A power-supply cord longer than NEC Article 645 allows in its room: trodden on, and slow to clear a fault.",
    only under Nec
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (true, Some(limit)) = (
        RULE.binds(analysis.practice()),
        constants::cord_in_it_room(),
    ) else {
        return;
    };
    let (mut unsaid, mut illegible) = (ToldOnce::default(), Illegible::default());
    for (cord, item) in analysis.model.cords.iter() {
        let zones = analysis.zones_of_cord(cord);
        ask_of_rooms(zones, &item.name.value, &mut illegible);
        if let Some(zone) = analysis.zones_of_cord(cord).find(|zone| is_it_room(zone)) {
            for end in analysis.graph.links.cord_ends(cord) {
                // A line is judged at its last cord, with all that hang on each other.
                if matches!(end.at, Receiver::Cord(_)) {
                    continue;
                }
                match analysis.line_length((cord, end.leg)) {
                    Some(length) if is_above(length, limit.value) => {
                        findings.push(cord_too_long(
                            analysis,
                            (cord, end.leg),
                            zone,
                            length,
                            &limit,
                        ));
                    }
                    Some(_) => {}
                    None => {
                        let lack = missing_length(analysis, cord, end.leg);
                        let told = unsaid.tell(lack.fact.clone(), || {
                            unknown(&lack.fact.whose(), &lack, zone, &limit)
                        });
                        told.suffered_by(sharer(analysis, cord, end.at, &lack).cloned());
                    }
                }
            }
        }
    }
    for (pdu, item) in analysis.model.pdus.iter() {
        let zone = analysis.zone_of_pdu(pdu);
        ask_of_rooms(zone.into_iter(), &item.name.value, &mut illegible);
        if let Some(zone) = zone.filter(|zone| is_it_room(zone)) {
            findings.extend(input_cord(analysis, pdu, zone, &limit, &mut unsaid));
        }
    }
    findings.extend(unsaid.findings());
    findings.extend(illegible.findings());
}

/// Asks of zones whether they are Article 645 rooms where what is written cannot be read.
fn ask_of_rooms<'a>(
    zones: impl Iterator<Item = &'a Named<Zone>>,
    sufferer: &Name,
    illegible: &mut Illegible,
) {
    for zone in zones {
        if let Err(at) = zone.article_645.written() {
            let fact = Fact::unreadable(zone, "article-645", at);
            let room = &zone.name.value;
            let question =
                || format!("do cords in zone {room} keep to the length of an Article 645 room");
            let told = illegible.ask(&RULE, &fact, question);
            told.suffered_by([sufferer.clone()]);
        }
    }
}

fn is_it_room(zone: &Zone) -> bool {
    zone.article_645.says_yes() == Ok(true)
}

fn room(zone: &Named<Zone>) -> Place {
    let note = format!("zone {} is an Article 645 room", zone.name.value);
    place(field_or_name(&zone.article_645, &zone.name), note)
}

fn headline(analysis: &Analysis<'_>, what: &str, length: Length, limit: Length) -> String {
    let taped = analysis.on_tape(length);
    let (length, limit) = as_written(length, limit);
    format!(
        "{what} is {taped} long ({length}); NEC Article 645 allows {limit} in this room: longer cords are trodden on and pinched, and people may touch what wears through"
    )
}

fn cord_too_long(
    analysis: &Analysis<'_>,
    (cord, leg): (Id<Cord>, Option<u32>),
    zone: &Named<Zone>,
    length: Length,
    limit: &Cited<Length>,
) -> Finding {
    let (_, name) = names(analysis, cord, leg);
    let what = line_name(analysis, (cord, leg));
    let nearer = "feed it from an outlet nearer by";
    let least = least_way(analysis, cord);
    let most = Some(limit.value + crate::quantity::millimetres(1e-3));
    let is_line = analysis.graph.links.joint_above(cord).is_some();
    let least = least.filter(|_| !is_line);
    let advice = match least.and_then(|least| next_length(analysis, cord, least, most)) {
        Some(shorter) => format!("Take {shorter}, or {nearer}."),
        None => format!(
            "Use a cord of {} ({}) or less and {nearer}.",
            limit.value.show(),
            analysis.on_tape(limit.value)
        ),
    };
    Draft::new(
        &RULE,
        headline(analysis, &what, length, limit.value),
        chosen_at(analysis, cord),
        format!("{what}: {}", length.show()),
        limit.citation.clone(),
    )
    .above([room(zone)])
    .below(type_length(analysis, cord))
    .below(analysis.ends_of(cord))
    .working([format!(
        "{} − {} = {} too long",
        length.show(),
        limit.value.show(),
        (length - limit.value).show()
    )])
    .measured(Measure::above(length, limit.value))
    .advice(advice)
    .about([name])
    .finish()
}

/// What a shorter cord must still reach: the longest of its ways; `None` if one is not known.
fn least_way(analysis: &Analysis<'_>, cord: Id<Cord>) -> Option<Length> {
    let ends = analysis.graph.links.cord_ends(cord).iter();
    let ways = ends.map(|end| Some(analysis.route(cord, end.at)?.ok()?.length()));
    ways.reduce(|a, b| Some(a?.max(b?)))?
}

/// That a length is not known.
fn unknown(what: &str, lack: &Lack, zone: &Named<Zone>, limit: &Cited<Length>) -> Draft {
    let (shown, how) = (limit.value.show(), lack.how());
    let missing = lack.missing;
    let headline = format!(
        "is {what} within the {shown} that NEC Article 645 allows? Wanted: {missing}, which {how}"
    );
    let note = format!("not decided: {missing} {how}");
    Draft::new(
        &RULE,
        headline,
        lack.fact.span,
        note,
        limit.citation.clone(),
    )
    .wants([lack.fact.clone()])
    .above([room(zone)])
    .about([lack.fact.owner.clone()])
    .advice(format!("Measure {what} and write {missing}."))
}
