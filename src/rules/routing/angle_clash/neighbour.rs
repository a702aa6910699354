//! The cord that leaves its plug along the row of outlets, against the plug next to it.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::CordFeed;
use crate::model::cords::{Angle, Cord};
use crate::model::pdus::{Direction, Pdu, PduModel};
use crate::model::value::{Field, Id, Named};
use crate::rules::Draft;
use crate::rules::routing::stock::as_written;
use crate::source::Span;
use crate::survey::{Survey, absence, field_or_name, place};

use super::RULE;

/// Which cord is in which outlet.
type Plugged = FxHashMap<(Id<Pdu>, u32), Id<Cord>>;

pub(super) fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let types = survey.model.cord_types.items();
    if !types.iter().any(|kind| {
        kind.angle
            .get()
            .and_then(|ends| turned(ends.plug.copied()?))
            .is_some()
    }) {
        return;
    }
    let plugged = plugged(survey);
    let mut unsaid = BTreeSet::new();
    for (cord, _) in survey.model.cords.iter() {
        if let Some(exit) = exit(survey, cord) {
            findings.extend(judge(survey, &exit, &plugged, &mut unsaid));
        }
    }
}

fn plugged(survey: &Survey<'_>) -> Plugged {
    let feeds = survey.graph.links.cord_feeds.iter().enumerate();
    feeds
        .filter_map(|(cord, feed)| match feed {
            Some(CordFeed::Outlet(pdu, outlet)) => Some(((*pdu, *outlet), Id::new(cord))),
            Some(CordFeed::Receptacle(_)) | None => None,
        })
        .collect()
}

/// Quarter turns clockwise from the earth contact; `None` for a straight plug.
fn turned(angle: Angle) -> Option<u8> {
    match angle {
        Angle::Straight => None,
        Angle::Up => Some(0),
        Angle::Right => Some(1),
        Angle::Down => Some(2),
        Angle::Left => Some(3),
    }
}

/// Quarter turns clockwise from the head of the strip.
fn turned_on_strip(earth: Direction) -> u8 {
    match earth {
        Direction::Up => 0,
        Direction::Right => 1,
        Direction::Down => 2,
        Direction::Left => 3,
    }
}

/// A plug whose cord leaves at an angle.
struct Exit<'a> {
    cord: Id<Cord>,
    pdu: Id<Pdu>,
    outlet: u32,
    model: &'a Named<PduModel>,
    turns: u8,
}

fn exit<'a>(survey: &Survey<'a>, cord: Id<Cord>) -> Option<Exit<'a>> {
    let links = &survey.graph.links;
    let CordFeed::Outlet(pdu, outlet) = links.cord_feeds[cord.index()]? else {
        return None;
    };
    let angle = survey.graph.cord_type(survey.model, cord)?.angle.get()?;
    let turns = turned(angle.plug.copied()?)?;
    let model = &survey.model.pdu_models[links.pdu_models[pdu.index()]?];
    Some(Exit {
        cord,
        pdu,
        outlet,
        model,
        turns,
    })
}

fn judge(
    survey: &Survey<'_>,
    exit: &Exit<'_>,
    plugged: &Plugged,
    unsaid: &mut BTreeSet<Span>,
) -> Option<Finding> {
    let next = |outlet: Option<u32>| plugged.get(&(exit.pdu, outlet?)).copied();
    let above = next(exit.outlet.checked_add(1));
    let below = next(exit.outlet.checked_sub(1));
    let neighbour = match exit.model.outlet_earth.get() {
        Some(earth) => match (exit.turns + turned_on_strip(*earth)) % 4 {
            0 => above?,
            2 => below?,
            _ => return None,
        },
        None => {
            above.or(below)?;
            return not_known(exit, "outlet-earth", &exit.model.outlet_earth, unsaid);
        }
    };
    let Some(pitch) = exit.model.outlet_pitch.given() else {
        return not_known(exit, "outlet-pitch", &exit.model.outlet_pitch, unsaid);
    };
    let reach = survey.connector_bend()?;
    (pitch.value < reach.value).then(|| over_neighbour(survey, exit, neighbour))
}

fn over_neighbour(survey: &Survey<'_>, exit: &Exit<'_>, neighbour: Id<Cord>) -> Finding {
    let model = survey.model;
    let (cord, neighbour) = (&model.cords[exit.cord], &model.cords[neighbour]);
    let (own, other) = (&cord.name.value, &neighbour.name.value);
    let outlet = survey.feed_name(exit.cord).unwrap_or_default();
    let headline = format!(
        "cord {own} leaves outlet {} towards the plug of cord {other}: it presses on that plug, and neither can be drawn without the other",
        outlet.trim_start_matches("outlet ")
    );
    let working = survey
        .connector_bend()
        .zip(exit.model.outlet_pitch.get())
        .map(|(reach, pitch)| {
            let (pitch, bend) = as_written(*pitch, reach.value);
            format!(
                "the next outlet is {pitch} away; a plug and its first bend take {bend}{}",
                reach.remark("connector-bend")
            )
        });
    let earth = exit.model.outlet_earth.given();
    let kind = survey.graph.cord_type(model, exit.cord);
    let angle = kind.and_then(|kind| kind.angle.get()?.plug.given().copied());
    Draft::new(&RULE, headline, field_or_name(&cord.cord_type, &cord.name), format!("cord {own} in {outlet}"), basis())
        .above(earth.map(|earth| place(earth.span, format!("the earth contacts of {} lie {}", exit.model.name.value, earth.value.word()))))
        .below(angle.map(|angle| place(angle.span, format!("with its earth contact uppermost the cord leaves {}", angle.value.word()))))
        .below([place(field_or_name(&neighbour.from, &neighbour.name), format!("cord {other} in the next outlet"))])
        .working(working)
        .advice("Use a straight plug or one that leaves to the side of the PDU, or move one of the two cords an outlet on.")
        .about([own.clone()])
        .kind("neighbour")
        .finish()
}

fn not_known<T>(
    exit: &Exit<'_>,
    key: &'static str,
    field: &Field<T>,
    unsaid: &mut BTreeSet<Span>,
) -> Option<Finding> {
    let (at, how) = (field_or_name(field, &exit.model.name), absence(field));
    if !unsaid.insert(at) {
        return None;
    }
    let name = &exit.model.name.value;
    let headline = format!(
        "whether angled plugs in PDU model {name} press on the plugs beside them cannot be said: its {key} {how}"
    );
    let draft = Draft::new(&RULE, headline, at, format!("its {key} {how}"), basis())
        .open()
        .about([name.clone()])
        .advice("Look at the PDU with its foot at the bottom, and write where the earth contacts lie (`outlet-earth: up`, `down`, `left` or `right`) and how far apart the outlets are (`outlet-pitch`).")
        .kind("neighbour");
    Some(draft.finish())
}

fn basis() -> Citation {
    Citation::common_practice("direction of the cord told from the earth contact, plug inserted")
}
