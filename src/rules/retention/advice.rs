//! What would hold a cord where it lies.

use crate::analysis::Analysis;
use crate::model::cords::CordType;
use crate::model::value::Named;
use crate::quantity::InUnits;
use crate::tables::couplers::{Family, Side};
use crate::tables::retention::Retention;

use super::end::{End, Owner};

/// A cord type of the site that is held at every end here; else, for each loose end, the kind of
/// lock that its mate takes.
pub(super) fn advice(analysis: &Analysis<'_>, owner: Owner, loose: &[End<'_>]) -> String {
    if matches!(owner, Owner::Pdu(_)) {
        return format!(
            "Feed the PDU by a coupler that holds itself, such as a locking or a pin and sleeve one, or have a bail or clip fitted that holds its plug, and write it as `latch: bail` of the {}.",
            analysis.words().socket
        );
    }
    if let Some(kind) = held_type(analysis, owner) {
        return format!(
            "Use cord type {}, which is held at every end here.",
            kind.name.value
        );
    }
    if loose.iter().any(End::is_joint) {
        return "Use one cord in place of the two. Where the joint must stay, take an upper cord whose connector grips the pins (`pin-grip`).".to_owned();
    }
    let ends: Vec<String> = loose.iter().map(|end| lock_for(analysis, end)).collect();
    format!("Order a cord with {}.", ends.join(", and "))
}

/// The lock that would hold an end: `outlet-latch at the plug, which outlet pdu-p/1 takes`.
fn lock_for(analysis: &Analysis<'_>, end: &End<'_>) -> String {
    let (half, mate) = (end.half(), end.mate_name(analysis));
    let offered = end.locks.offered.known().copied();
    if let Some(lock) = offered.filter(|lock| lock.retention != Retention::None) {
        return format!("{} at the {half}, which {mate} takes", lock.name);
    }
    let family = end.locks.coupler.known().map(|coupler| coupler.family);
    match (end.locks.side, family) {
        (Side::Contacts, Some(Family::Iec60320)) => {
            format!("pin-grip at the {half}, which holds on any standard inlet")
        }
        (Side::Contacts, _) => format!("a {half} that locks, for which {mate} has the mate"),
        (Side::Pins, _) => {
            format!(
                "a {half} that latches, and plug it where the outlet takes that latch ({mate} does not)"
            )
        }
    }
}

/// The shortest type of the site, not shorter than the cord's own, with the same ends, each of them held.
fn held_type<'a>(analysis: &Analysis<'a>, owner: Owner) -> Option<&'a Named<CordType>> {
    let Owner::Cord(cord) = owner else {
        return None;
    };
    let own = analysis.graph.cord_type(analysis.model, cord)?;
    let length = |kind: &CordType| kind.length.known().map(|length| length.in_metres());
    let is_same = |kind: &CordType| {
        kind.plug.known() == own.plug.known()
            && kind.connector.known() == own.connector.known()
            && kind.legs.is_empty()
            && own.legs.is_empty()
            && length(kind) >= length(own)
    };
    let types = analysis.types_on_offer();
    let held = types.filter(|kind| {
        is_same(kind) && owner.ends_as(analysis, Some(kind)).all(|end| end.is_held())
    });
    held.min_by(|a, b| {
        let (a, b) = (
            length(a).unwrap_or(f64::INFINITY),
            length(b).unwrap_or(f64::INFINITY),
        );
        a.total_cmp(&b)
    })
}
