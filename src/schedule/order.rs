//! What to buy: cord sets by type and length, with spares.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::model::cords::{Cord, CordType};
use crate::model::text::RetentionRef;
use crate::model::value::{Field, Id, Named};
use crate::quantity::InUnits;

use super::table::{
    Column, NOTE, Row, Schedule, UNKNOWN, given, length, names, noted, numbers, words,
};

/// How many cord sets are bought beyond those in use, as a percentage of these.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spares(pub u32);

impl Spares {
    /// What is bought where nobody says otherwise: a tenth. Common practice.
    pub const USUAL: Self = Self(10);

    /// Spares for so many cords, rounded up: at least one, unless none are wanted.
    pub fn of(self, cords: usize) -> usize {
        (cords * self.0 as usize).div_ceil(100)
    }
}

const COLUMNS: &[Column] = &[
    names("type"),
    words("plug"),
    words("connector"),
    words("conductor"),
    words("cordage"),
    words("length"),
    words("colour"),
    words("rating"),
    words("holds plug"),
    words("holds connector"),
    words("approvals"),
    numbers("in use"),
    numbers("spares"),
    numbers("order"),
    NOTE,
];

/// One row for each type and length, in the order of the definitions.
pub(super) fn order(analysis: &Analysis<'_>, spares: Spares) -> Schedule {
    let mut used: BTreeMap<Item, (Id<Cord>, usize)> = BTreeMap::new();
    for (cord, item) in analysis.model.cords.iter() {
        let key = Item {
            kind: analysis.graph.links.cord_types[cord.index()],
            name: match analysis.graph.links.cord_types[cord.index()] {
                Some(_) => String::new(),
                None => given(&item.cord_type),
            },
            length: length_in_micrometres(&item.item),
        };
        used.entry(key).or_insert((cord, 0)).1 += 1;
    }
    let rows = used.into_iter();
    let rows = rows.map(|(item, (first, count))| row(analysis, &item, first, count, spares));
    let rows: Vec<Row> = rows.collect();
    let spares = match spares {
        Spares(0) => "Without spares.".to_owned(),
        Spares(percent) => format!(
            "Spares: {percent} % of those in use, rounded up, for each type and length (common practice)."
        ),
    };
    Schedule::new(
        COLUMNS,
        rows,
        &[
            &spares,
            "All cords of the site are counted, also those that are there already; input cords that belong to their PDU are not.",
            "Run cordwright check first: what it finds wrong is wrong here too.",
        ],
    )
}

/// What is ordered under one line. Types that are not defined come last, by their name.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Item {
    name: String,
    kind: Option<Id<CordType>>,
    /// The cord's own length, where it is not its type's.
    length: Option<Option<u64>>,
}

/// `Some(None)` where a length of its own cannot be read.
fn length_in_micrometres(cord: &Cord) -> Option<Option<u64>> {
    match &cord.length {
        Field::Absent => None,
        Field::Unreadable(_) => Some(None),
        Field::Given(length) => Some(Some((length.value.in_millimetres() * 1000.0).round() as u64)),
    }
}

fn row(analysis: &Analysis<'_>, item: &Item, first: Id<Cord>, count: usize, spares: Spares) -> Row {
    let kind = item.kind.map(|kind| &analysis.model.cord_types[kind]);
    let of = |cell: fn(&CordType) -> String| {
        kind.map_or_else(|| UNKNOWN.to_owned(), |kind| cell(&kind.item))
    };
    let more = spares.of(count);
    vec![
        kind.map_or_else(|| item.name.clone(), |kind| kind.name.value.to_string()),
        of(|kind| given(&kind.plug)),
        of(connectors),
        of(|kind| or_unknown(kind.conductor.as_written())),
        of(|kind| or_unknown(kind.cordage.as_written())),
        kind.map_or_else(|| UNKNOWN.to_owned(), |kind| lengths(analysis, kind, first)),
        of(|kind| given(&kind.colour)),
        of(|kind| or_unknown(kind.rating.as_written())),
        of(|kind| holds(kind).0),
        of(|kind| holds(kind).1),
        of(approvals),
        count.to_string(),
        more.to_string(),
        (count + more).to_string(),
        kind.map(noted).unwrap_or_default(),
    ]
}

fn or_unknown(marks: Option<String>) -> String {
    marks.unwrap_or_else(|| UNKNOWN.to_owned())
}

/// The connector, or those of all legs: `C13 (a), C13 (b)`.
fn connectors(kind: &CordType) -> String {
    if kind.legs.is_empty() {
        return given(&kind.connector);
    }
    let legs = kind.legs.items().iter();
    let legs = legs.map(|leg| format!("{} ({})", given(&leg.connector), leg.name.value));
    legs.collect::<Vec<_>>().join(", ")
}

/// The length up to the connector, or to the split and of each leg: `1 m + 0.5 m (a), 0.5 m (b)`.
fn lengths(analysis: &Analysis<'_>, kind: &Named<CordType>, cord: Id<Cord>) -> String {
    let trunk = length(analysis, analysis.length_of(cord, None));
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

/// What holds the plug and the connector.
fn holds(kind: &CordType) -> (String, String) {
    let word = |end: &Field<RetentionRef>| {
        end.row()
            .map_or_else(|| UNKNOWN.to_owned(), |kind| kind.name.to_string())
    };
    match kind.retention.known() {
        Some(ends) => (word(&ends.plug), word(&ends.connector)),
        None => (UNKNOWN.to_owned(), UNKNOWN.to_owned()),
    }
}

fn approvals(kind: &CordType) -> String {
    let marks: Vec<&str> = kind.approvals.words().collect();
    if marks.is_empty() {
        return UNKNOWN.to_owned();
    }
    marks.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spares_are_rounded_up() {
        let tenth = |cords| Spares::USUAL.of(cords);
        assert_eq!([tenth(1), tenth(10), tenth(11), tenth(40)], [1, 1, 2, 4]);
        assert_eq!(Spares(0).of(40), 0);
        assert_eq!(Spares(100).of(3), 3);
    }
}
