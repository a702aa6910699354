//! What to do about an overload: how much must move, and where to.

use crate::analysis::{Analysis, exceeds};
use crate::graph::ElementKind;
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::quantity::{Current, InUnits, Quantity, amperes, show_current};
use crate::rules::circuits::way::{self, Carried, on_pole};

use super::effort::Effort;
use super::moves::{Move, Peer, Plan};
use super::peers::{feed_of, peers};

/// What to do about a current that is to come down to `limit`.
pub(super) fn advice(
    analysis: &Analysis<'_>,
    told: &Carried,
    limit: Current,
    effort: &Effort,
) -> String {
    let carried = &worst(analysis, told);
    let pole = on_pole(analysis, carried.id, carried.pole);
    let state = if carried.lost == told.lost {
        String::new()
    } else {
        format!(" (counted{})", way::after(analysis, carried.lost))
    };
    let much = format!(
        "{} of load{pole}{state}",
        rounded_up(carried.current - limit).show()
    );
    let plan = Plan::new(analysis, carried, limit, effort);
    let peers = with_room(analysis, carried, effort);
    to_one(analysis, &plan, &peers, carried.current - limit, &much)
        .or_else(|| to_several(analysis, carried, &plan, &peers, &much))
        .unwrap_or_else(|| match effort.is_spent() {
            true => not_looked_for(&much),
            false => to_nowhere(analysis, carried, &much),
        })
}

/// Where so much of the site is overloaded that nobody has looked any further.
fn not_looked_for(much: &str) -> String {
    format!(
        "Take off or move at least {much}. Too much of this site is overloaded to look where to: put the others right first."
    )
}

/// To the first peer that takes all of it.
fn to_one(
    analysis: &Analysis<'_>,
    plan: &Plan<'_, '_>,
    peers: &[Peer<'_>],
    excess: Current,
    much: &str,
) -> Option<String> {
    let mut peers = peers.iter();
    let (peer, moves) = peers.find_map(|peer| Some((peer, plan.to(&[peer])?)))?;
    let room = peer.room.least().filter(|room| !exceeds(excess, *room));
    let room = room.map_or("it".to_owned(), |room| rounded_down(room).show());
    let such_as = example(analysis, &moves);
    let such_as = such_as.map_or(String::new(), |moves| format!(", for example {moves}"));
    let peer = analysis.describe(peer.id);
    Some(format!(
        "Move at least {much} to {peer} on the same feed, which has room for {room} even in its worst state{such_as}."
    ))
}

/// To several peers that have room for it together.
fn to_several(
    analysis: &Analysis<'_>,
    carried: &Carried,
    plan: &Plan<'_, '_>,
    peers: &[Peer<'_>],
    much: &str,
) -> Option<String> {
    let moves = plan.to(&peers.iter().collect::<Vec<_>>())?;
    let places = match example(analysis, &moves) {
        Some(moves) => format!("together they have, for example for {moves}"),
        None => format!("{} have together", targets(analysis, &moves)),
    };
    let other = other(analysis, carried);
    Some(format!(
        "Move at least {much} elsewhere: {other} has room for it alone, but {places}."
    ))
}

fn to_nowhere(analysis: &Analysis<'_>, carried: &Carried, much: &str) -> String {
    // A PDU is bought with its banks.
    let added = match analysis.graph.kind(carried.id) {
        ElementKind::Circuit(_) => "a circuit",
        _ => "a PDU",
    };
    let other = other(analysis, carried);
    format!(
        "Take off at least {much}; {other} within reach is known to have room and free outlets for it, so add {added} if the load must stay."
    )
}

/// `no other bank of feed A`.
fn other(analysis: &Analysis<'_>, carried: &Carried) -> String {
    let kind = word(analysis.graph.kind(carried.id));
    let feed = feed_of(analysis, carried.id);
    let of_feed = feed.map_or(String::new(), |feed| format!(" of feed {feed}"));
    format!("no other {kind}{of_feed}")
}

/// The state in which the element carries most, so that nobody has to come a second time.
fn worst(analysis: &Analysis<'_>, told: &Carried) -> Carried {
    let worst = analysis.flows.worst(analysis.graph, told.id);
    match worst.filter(|worst| exceeds(worst.current, told.current)) {
        Some(worst) => Carried {
            id: told.id,
            pole: worst.pole,
            current: worst.current,
            lost: worst.lost,
        },
        None => *told,
    }
}

/// The peers on the same feed that have room: those of the same strip first, where every cord reaches, then
/// the roomiest.
fn with_room<'a>(analysis: &Analysis<'a>, carried: &Carried, effort: &Effort) -> Vec<Peer<'a>> {
    let others = peers(analysis, carried.id, effort).into_iter();
    let others = others.filter(|&peer| peer != carried.id);
    let mut peers: Vec<Peer<'a>> = others
        .filter_map(|peer| Peer::of(analysis, peer, carried, effort))
        .collect();
    let room = |peer: &Peer<'_>| peer.room.least().map_or(0.0, Current::in_amperes);
    let strip = |id| analysis.graph.pdu_of(id);
    let is_far = |peer: &Peer<'_>| strip(peer.id) != strip(carried.id);
    peers.sort_by(|a, b| {
        let roomier = room(b).total_cmp(&room(a));
        is_far(a).cmp(&is_far(b)).then(roomier)
    });
    peers
}

/// Moves that an example names.
const MOST_NAMED: usize = 4;

/// `cord W-1 (4.26 A) to outlet pdu-a/10 and cord W-2 (2.1 A) to outlet pdu-a/11`; `None` where a cord
/// would leave its rack, so that its device must move with it.
fn example(analysis: &Analysis<'_>, moves: &[Move<'_>]) -> Option<String> {
    let named: Option<Vec<String>> = moves.iter().map(|one| in_words(analysis, one)).collect();
    let mut named = named.filter(|named| named.len() <= MOST_NAMED)?;
    let last = named.pop()?;
    Some(if named.is_empty() {
        last
    } else {
        format!("{} and {last}", named.join(", "))
    })
}

fn in_words(analysis: &Analysis<'_>, one: &Move<'_>) -> Option<String> {
    let outlet = one
        .outlet
        .filter(|outlet| stays(analysis, one, outlet.pdu))?;
    let cord = &analysis.model.cords[one.cord].name.value;
    let current = show_current(one.amperes);
    Some(format!(
        "cord {cord} ({current}) to outlet {}",
        outlet.reference(analysis)
    ))
}

/// Whether a cord that moves stays on its strip, or in its rack.
fn stays(analysis: &Analysis<'_>, one: &Move<'_>, to: Id<Pdu>) -> bool {
    let graph = analysis.graph;
    let racks = &graph.links.pdu_racks;
    let from = graph.cord(one.cord).and_then(|cord| graph.pdu_of(cord));
    from.is_some_and(|from| {
        let rack = racks[from.index()];
        from == to || (rack.is_some() && rack == racks[to.index()])
    })
}

/// `circuits A-2 and A-3`: where the moves go, each once.
fn targets(analysis: &Analysis<'_>, moves: &[Move<'_>]) -> String {
    let mut names: Vec<String> = Vec::new();
    for one in moves {
        let name = analysis.describe(one.to);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let last = names.pop().unwrap_or_default();
    format!("{} and {last}", names.join(", "))
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
