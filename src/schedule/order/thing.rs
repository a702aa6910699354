//! What a cord is to somebody who makes it: what is the same in all of it is one thing.

use crate::analysis::Analysis;
use crate::model::cords::{Angle, CordType};
use crate::model::value::{Field, Named, Spanned};
use crate::quantity::{Length, Quantity};
use crate::source::Span;
use crate::tables::retention::{Kind, Retention};

use super::super::table::{NONE, UNKNOWN, given, length};

/// Cells of a thing that are shown.
pub(super) const TOLD: usize = 8;
/// The cell of its length, and that of its colour.
pub(in crate::schedule) const LENGTH: usize = 4;
pub(in crate::schedule) const COLOUR: usize = 5;

/// All that a maker must know of a cord of a type and a length. Two things of which something is not known are not
/// known to be the same.
pub(super) fn thing(
    analysis: &Analysis<'_>,
    kind: &Named<CordType>,
    trunk: Option<Length>,
) -> Vec<String> {
    let mut thing = vec![
        plug(kind),
        connectors(kind),
        conductor(kind),
        cordage(kind),
        lengths(analysis, kind, trunk),
        given(&kind.colour),
        or_unknown(kind.rating.as_written()),
        approvals(kind),
    ];
    thing.extend(hot_air(kind));
    if thing.iter().any(|cell| cell.contains(UNKNOWN)) {
        thing.push(kind.name.value.to_string());
    }
    thing
}

/// What is the same in all lengths and colours of a make, unless a type of it says its own.
pub(in crate::schedule) fn as_made(kind: &CordType) -> Vec<String> {
    let legs = kind.legs.items().iter();
    let legs = legs.map(|leg| format!("{:?}", leg.length.known()));
    let mut made = vec![
        plug(kind),
        connectors(kind),
        conductor(kind),
        cordage(kind),
        or_unknown(kind.rating.as_written()),
        approvals(kind),
    ];
    made.extend(hot_air(kind).into_iter().chain(legs));
    made
}

/// A cord of a type that nobody describes.
pub(super) fn unknown(type_name: &str) -> Vec<String> {
    let mut unknown = vec![UNKNOWN.to_owned(); TOLD];
    unknown.push(type_name.to_owned());
    unknown
}

/// `C14, left, pin-grip`; of a plug with a fuse `BS 1363, 5 A fuse`.
pub(in crate::schedule) fn plug(kind: &CordType) -> String {
    let mut words = vec![given(&kind.plug)];
    words.extend(angle(kind.plug_angle()));
    words.extend(
        kind.plug_fuse()
            .map(|fuse| format!("{} fuse", fuse.value.show())),
    );
    words.extend(hold(kind.plug_hold()));
    in_a_row(&words)
}

/// What is said of an end; of one of which nobody knows anything a single `?`.
fn in_a_row(words: &[String]) -> String {
    match words.iter().all(|word| word == UNKNOWN) {
        true => UNKNOWN.to_owned(),
        false => words.join(", "),
    }
}

/// The way the cord leaves an end, where it is not straight; `?` where it cannot be read.
fn angle(written: Result<Option<&Spanned<Angle>>, Span>) -> Option<String> {
    match written {
        Ok(Some(angle)) if angle.value == Angle::Straight => None,
        Ok(angle) => angle.map(|angle| angle.value.word().to_owned()),
        Err(_) => Some(UNKNOWN.to_owned()),
    }
}

/// What holds an end, where anything does.
fn hold(own: Field<&Kind>) -> Option<String> {
    match own {
        Field::Absent => None,
        Field::Unreadable(_) => Some(UNKNOWN.to_owned()),
        Field::Given(own) if own.value.retention == Retention::None => None,
        Field::Given(own) => Some(own.value.name.to_string()),
    }
}

/// `3 × 1 mm²`, or the size alone where nobody says how many cores there are.
pub(in crate::schedule) fn conductor(kind: &CordType) -> String {
    if kind.is_adapter() {
        return NONE.to_owned();
    }
    let size = or_unknown(kind.conductor.as_written());
    match kind.cores.known() {
        Some(cores) => format!("{cores} × {size}"),
        None => size,
    }
}

/// `H05VV-F`, with what its marks and its maker add: `SJT, 105 °C`, `…, no halogen`.
pub(in crate::schedule) fn cordage(kind: &CordType) -> String {
    if kind.is_adapter() {
        return NONE.to_owned();
    }
    let mut words = vec![or_unknown(kind.cordage.as_written())];
    words.extend(kind.temperature.known().map(|mark| mark.show()));
    if let Some(service) = kind.service.known() {
        let stated = [
            (&service.halogen_free, "no halogen"),
            (&service.oil, "oil"),
            (&service.wet, "wet places"),
        ];
        let yes = stated
            .into_iter()
            .filter(|(says, _)| says.known().is_some_and(|word| word.0));
        words.extend(yes.map(|(_, what)| what.to_owned()));
    }
    words.join(", ")
}

/// What its couplers are declared for in hot air, and how well its connector keeps water out: no cell of their own,
/// but another cord.
fn hot_air(kind: &CordType) -> Option<String> {
    let declared = kind
        .hot_air
        .known()
        .map(|air| format!("{:?} {:?}", air.at.known(), air.amperes.known()));
    let water = kind.connector_ip.known().map(|ip| format!("{ip:?}"));
    let all = [declared, water]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ");
    (!all.is_empty()).then_some(all)
}

pub(in crate::schedule) fn or_unknown(marks: Option<String>) -> String {
    marks.unwrap_or_else(|| UNKNOWN.to_owned())
}

/// The connector, or those of all legs: `C13 (a), C13, left (b)`.
pub(in crate::schedule) fn connectors(kind: &CordType) -> String {
    if kind.legs.is_empty() {
        let mut words = vec![given(&kind.connector)];
        words.extend(angle(kind.connector_angle(None)));
        words.extend(hold(kind.connector_hold(None)));
        return in_a_row(&words);
    }
    let legs = kind.legs.items().iter();
    let legs = legs.map(|leg| {
        let mut words = vec![given(&leg.connector)];
        words.extend(angle(kind.connector_angle(Some(leg))));
        words.extend(hold(kind.connector_hold(Some(leg))));
        words.extend(leg.conductor.as_written());
        words.extend(leg.cordage.as_written());
        format!("{} ({})", words.join(", "), leg.name.value)
    });
    legs.collect::<Vec<_>>().join("; ")
}

/// The length up to the connector, or to the split and of each leg: `1 m + 0.5 m (a), 0.5 m (b)`.
pub(in crate::schedule) fn lengths(
    analysis: &Analysis<'_>,
    kind: &CordType,
    trunk: Option<Length>,
) -> String {
    if kind.is_adapter() {
        return NONE.to_owned();
    }
    let trunk = length(analysis, trunk);
    if kind.legs.is_empty() {
        return trunk;
    }
    let legs = kind.legs.items().iter();
    let legs = legs.map(|leg| {
        format!(
            "{} ({})",
            length(analysis, leg.length.known().copied()),
            leg.name.value
        )
    });
    format!("{trunk} + {}", legs.collect::<Vec<_>>().join(", "))
}

pub(in crate::schedule) fn approvals(kind: &CordType) -> String {
    let marks: Vec<&str> = kind.approvals.words().collect();
    if marks.is_empty() {
        return UNKNOWN.to_owned();
    }
    marks.join(", ")
}
