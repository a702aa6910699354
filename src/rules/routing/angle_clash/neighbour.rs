//! The cord that leaves its plug along the row of outlets, against the plug next to it.

mod told;

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding};
use crate::graph::{Carrier, CordFeed, OutletId};
use crate::model::cords::{Angle, Cord, CordType};
use crate::model::pdus::{Direction, Pdu, PduModel};
use crate::model::value::{Id, Named};
use crate::rules::illegible::Illegible;
use crate::rules::routing::angle_clash::RULE;
use crate::rules::told_once::ToldOnce;
use crate::source::Span;

use told::{not_known, over_neighbour};

/// Which cord is in which outlet.
type Plugged = FxHashMap<OutletId, Id<Cord>>;

pub(super) fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let types = analysis.model.cord_types.items();
    if types.iter().all(|kind| matches!(turns(kind), Ok(None))) {
        return;
    }
    let plugged = plugged(analysis);
    let (mut unsaid, mut illegible) = (ToldOnce::default(), Illegible::default());
    for (cord, _) in analysis.model.cords.iter() {
        match exit(analysis, cord) {
            Some(Ok(exit)) => findings.extend(judge(analysis, &exit, &plugged, &mut unsaid)),
            Some(Err(fact)) if has_neighbour(analysis, cord, &plugged) => {
                let kind = &fact.owner;
                let question =
                    || format!("do plugs of cord type {kind} press on the plugs beside them");
                let told = illegible.ask(&RULE, &fact, question);
                told.suffered_by([analysis.model.cords[cord].name.value.clone()]);
            }
            Some(Err(_)) | None => {}
        }
    }
    findings.extend(unsaid.findings());
    findings.extend(illegible.findings());
}

fn plugged(analysis: &Analysis<'_>) -> Plugged {
    let feeds = analysis.graph.links.cord_feeds.iter().enumerate();
    feeds
        .filter_map(|(cord, feed)| match feed {
            Some(CordFeed::Outlet(outlet)) => Some((*outlet, Id::new(cord))),
            Some(CordFeed::Receptacle(_) | CordFeed::Cord(_)) | None => None,
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

/// The turn of the plugs of a cord type; `None` where they leave straight.
fn turns(kind: &CordType) -> Result<Option<u8>, Span> {
    let angle = kind.plug_angle()?;
    Ok(angle.and_then(|angle| turned(angle.value)))
}

/// Whether something is plugged in beside a cord.
fn has_neighbour(analysis: &Analysis<'_>, cord: Id<Cord>, plugged: &Plugged) -> bool {
    let Some(CordFeed::Outlet(outlet)) = analysis.graph.links.cord_feeds[cord.index()] else {
        return false;
    };
    let OutletId { on, number } = outlet;
    let beside = [number.checked_add(1), number.checked_sub(1)];
    let mut beside = beside.into_iter().flatten();
    beside.any(|number| plugged.contains_key(&OutletId { on, number }))
}

/// A plug whose cord leaves at an angle.
struct Exit<'a> {
    cord: Id<Cord>,
    pdu: Id<Pdu>,
    outlet: OutletId,
    model: &'a Named<PduModel>,
    turns: u8,
}

/// The plug of a cord, if it leaves at an angle or nobody can read whether. How the outlets on the back of a
/// device lie to each other no key says.
fn exit<'a>(analysis: &Analysis<'a>, cord: Id<Cord>) -> Option<Result<Exit<'a>, Fact>> {
    let links = &analysis.graph.links;
    let CordFeed::Outlet(outlet) = links.cord_feeds[cord.index()]? else {
        return None;
    };
    let Carrier::Pdu(pdu) = outlet.on else {
        return None;
    };
    let kind = &analysis.model.cord_types[links.cord_types[cord.index()]?];
    let turns = match turns(kind) {
        Ok(turns) => turns?,
        Err(at) => return Some(Err(Fact::unreadable(kind, "angle.plug", at))),
    };
    let model = &analysis.model.pdu_models[links.pdu_models[pdu.index()]?];
    Some(Ok(Exit {
        cord,
        pdu,
        outlet,
        model,
        turns,
    }))
}

fn judge(
    analysis: &Analysis<'_>,
    exit: &Exit<'_>,
    plugged: &Plugged,
    unsaid: &mut ToldOnce<Span>,
) -> Option<Finding> {
    let OutletId { on, number } = exit.outlet;
    let next = |number: Option<u32>| {
        let number = number?;
        plugged.get(&OutletId { on, number }).copied()
    };
    let above = next(number.checked_add(1));
    let below = next(number.checked_sub(1));
    let neighbour = match exit.model.outlet_earth.known() {
        Some(earth) => match (exit.turns + turned_on_strip(*earth)) % 4 {
            0 => above?,
            2 => below?,
            _ => return None,
        },
        None => {
            above.or(below)?;
            not_known(
                analysis,
                exit,
                "outlet-earth",
                &exit.model.outlet_earth,
                unsaid,
            );
            return None;
        }
    };
    let Some(pitch) = exit.model.outlet_pitch.given() else {
        not_known(
            analysis,
            exit,
            "outlet-pitch",
            &exit.model.outlet_pitch,
            unsaid,
        );
        return None;
    };
    let reach = analysis.connector_bend()?;
    (pitch.value < reach.value).then(|| over_neighbour(analysis, exit, neighbour))
}
