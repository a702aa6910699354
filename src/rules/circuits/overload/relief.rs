//! What to do about an overload: how much must move, and where to.

use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, InUnits, Quantity, amperes};
use crate::rules::circuits::way::{Carried, on_pole};
use crate::survey::{Survey, exceeds};

use super::movable;
use super::peers::{feed_of, peers};
use super::room::room;

/// What to do about a current that is to come down to `limit`.
pub(super) fn advice(survey: &Survey<'_>, carried: &Carried, limit: Current) -> String {
    let excess = carried.current - limit;
    let pole = on_pole(survey, carried.id, carried.pole);
    let much = rounded_up(excess).show();
    let kind = word(survey.graph.kind(carried.id));
    if let Some((peer, room)) = roomiest(survey, carried, excess) {
        let (peer, room) = (survey.describe(peer), rounded_down(room).show());
        return format!(
            "Move at least {much} of load{pole} to {peer} on the same feed, which has room for {room} even in its worst state."
        );
    }
    // A PDU is bought with its banks.
    let added = match survey.graph.kind(carried.id) {
        ElementKind::Circuit(_) => "a circuit",
        _ => "a PDU",
    };
    let of_feed =
        feed_of(survey, carried.id).map_or(String::new(), |feed| format!(" of feed {feed}"));
    format!(
        "Take at least {much} of load{pole} off; no other {kind}{of_feed} within reach is known to have room and free outlets for it, so add {added} if the load must stay."
    )
}

fn word(kind: ElementKind) -> &'static str {
    match kind {
        ElementKind::Supply(_) => "supply",
        ElementKind::Circuit(_) => "circuit",
        ElementKind::Pdu(_) => "PDU",
        ElementKind::Bank(..) => "bank",
        ElementKind::Cord(_) | ElementKind::Leg(..) => "cord",
    }
}

/// To a tenth of an ampere, so that what is moved is enough.
fn rounded_up(current: Current) -> Current {
    amperes((current.in_amperes() * 10.0 - 1e-6).ceil().max(1.0) / 10.0)
}

fn rounded_down(current: Current) -> Current {
    amperes((current.in_amperes() * 10.0 + 1e-6).floor() / 10.0)
}

/// The peer on the same feed with the most room, if that is enough.
fn roomiest(
    survey: &Survey<'_>,
    carried: &Carried,
    excess: Current,
) -> Option<(ElementId, Current)> {
    let with_room = peers(survey, carried.id)
        .into_iter()
        .filter(|&peer| peer != carried.id);
    let with_room = with_room.filter_map(|peer| Some((peer, room(survey, peer, carried)?)));
    let enough = with_room.filter(|(peer, room)| {
        !exceeds(excess, *room) && movable::fits(survey, carried, (*peer, *room), excess)
    });
    enough.reduce(|best, next| if next.1 > best.1 { next } else { best })
}
