//! Where load could go: how much must move, and what of the same feed has room for it.

use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Pole, Supply};
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Name};
use crate::quantity::{Current, InUnits, Quantity, amperes};
use crate::survey::{Survey, exceeds};

use super::capacity;
use super::limit::Limits;
use super::way::{Carried, on_pole};

/// What to do about a current that is to come down to `limit`.
pub fn advice(survey: &Survey<'_>, carried: &Carried, limit: Current) -> String {
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
    let of_feed =
        feed_of(survey, carried.id).map_or(String::new(), |feed| format!(" of feed {feed}"));
    format!(
        "Take at least {much} of load{pole} off; no other {kind}{of_feed} within reach is known to have room for it, so add a {kind} if the load must stay."
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

fn feed_of<'a>(survey: &Survey<'a>, id: ElementId) -> Option<&'a Name> {
    let supply = survey.graph.supply_of(id)?;
    survey.model.supplies[supply].feed.get()
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
    let enough = with_room.filter(|(_, room)| !exceeds(excess, *room));
    enough.reduce(|best, next| if next.1 > best.1 { next } else { best })
}

fn peers(survey: &Survey<'_>, id: ElementId) -> Vec<ElementId> {
    let graph = survey.graph;
    let is_near = |other: ElementId| match feed_of(survey, id) {
        Some(feed) => feed_of(survey, other) == Some(feed),
        None => graph.supply_of(other) == graph.supply_of(id),
    };
    let pdus = || {
        survey
            .model
            .pdus
            .iter()
            .filter_map(|(pdu, _)| graph.pdu(pdu))
    };
    match graph.kind(id) {
        ElementKind::Circuit(_) => {
            let circuits = survey.model.circuits.iter();
            let circuits = circuits.filter_map(|(circuit, _)| graph.circuit(circuit));
            nearest(id, circuits.filter(|&other| is_near(other)))
        }
        ElementKind::Pdu(_) => nearest(id, pdus().filter(|&other| is_near(other))),
        // Cords of a bank reach no further than the strips of their own rack.
        ElementKind::Bank(own, _) => {
            let near = pdus().filter(|&pdu| is_reachable(survey, own, pdu) && is_near(pdu));
            near.flat_map(|pdu| banks(survey, pdu)).collect()
        }
        ElementKind::Supply(_) | ElementKind::Cord(_) | ElementKind::Leg(..) => Vec::new(),
    }
}

/// The peers that stand nearest in the definitions: on a large site not all of them are tried for
/// every finding.
fn nearest(id: ElementId, peers: impl Iterator<Item = ElementId>) -> Vec<ElementId> {
    const TRIED: usize = 100;
    let mut peers: Vec<ElementId> = peers.collect();
    peers.sort_by_key(|peer| (peer.0.abs_diff(id.0), peer.0));
    peers.truncate(TRIED);
    peers
}

fn is_reachable(survey: &Survey<'_>, own: Id<Pdu>, other: ElementId) -> bool {
    let ElementKind::Pdu(other) = survey.graph.kind(other) else {
        return false;
    };
    let racks = &survey.graph.links.pdu_racks;
    own == other || (racks[own.index()].is_some() && racks[own.index()] == racks[other.index()])
}

fn banks(survey: &Survey<'_>, pdu: ElementId) -> impl Iterator<Item = ElementId> {
    let graph = survey.graph;
    let below = graph.below(pdu).map(ElementId);
    below.filter(move |&id| {
        matches!(graph.kind(id), ElementKind::Bank(..)) && graph.element(id).feeder == Some(pdu)
    })
}

/// What a peer and everything above it can still take in their worst state; `None` where that is not
/// known. What carries the load already, on the same pole, need not have room for it again.
fn room(survey: &Survey<'_>, peer: ElementId, carried: &Carried) -> Option<Current> {
    let graph = survey.graph;
    let mut least: Option<Current> = None;
    let poles: Vec<Pole> = graph.poles(peer).collect();
    let is_same_pole = poles.contains(&carried.pole);
    for hop in graph.upwards(peer) {
        let carries_it = graph.is_below(carried.id, hop);
        if carries_it && is_same_pole {
            break;
        }
        if survey.flows.unknown_below(hop).is_some() {
            return None;
        }
        if let ElementKind::Supply(supply) = graph.kind(hop) {
            if !carries_it {
                least = Some(lesser(least, supply_room(survey, hop, supply)?));
            }
            continue;
        }
        let Some(limits) = Limits::of(survey, hop) else {
            continue;
        };
        let limit = limits
            .lowest()
            .filter(|_| limits.missing.is_none())?
            .current;
        let worst = survey.flows.worst(graph, hop)?.current;
        least = Some(lesser(least, limit - worst));
    }
    least
}

fn lesser(least: Option<Current>, next: Current) -> Current {
    least.filter(|least| *least < next).unwrap_or(next)
}

/// What another supply can still deliver, as a current between its lines: the least that its
/// capacity can mean.
fn supply_room(survey: &Survey<'_>, id: ElementId, supply: Id<Supply>) -> Option<Current> {
    let room = capacity::room(survey, id, supply)?.in_volt_amperes();
    let to_neutral = survey
        .flows
        .voltage_to_neutral(survey.graph, id, Pole::L1)?;
    let between = match survey
        .graph
        .poles(id)
        .filter(|pole| *pole != Pole::N)
        .count()
    {
        0 | 1 => 1.0,
        2 => 2.0,
        _ => 3f64.sqrt(),
    };
    Some(amperes(room / (to_neutral.in_volts() * between)))
}
