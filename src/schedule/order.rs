//! What to buy: one row for each thing that is really different, less what hangs, lies in store or is on order.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::model::cords::{Angle, Cord, CordState, CordType, EndAngle, EndRetention};
use crate::model::optional::Optional;
use crate::model::text::RetentionRef;
use crate::model::value::{Field, Id, Name, Named};
use crate::quantity::Quantity;
use crate::tables::retention::Retention;

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

/// The rules that stand against cords and types, by their names: errors, and what is not decided.
pub type Held = BTreeMap<Name, BTreeSet<&'static str>>;

const COLUMNS: &[Column] = &[
    names("type"),
    words("plug"),
    words("connector"),
    words("conductor"),
    words("cordage"),
    words("length"),
    words("colour"),
    words("rating"),
    words("approvals"),
    numbers("needed"),
    numbers("fitted"),
    numbers("in store"),
    numbers("on order"),
    numbers("spares"),
    numbers("order"),
    words("stands"),
    NOTE,
];

/// One row for each thing that is different in anything that a maker must know, in the order of the definitions.
pub(super) fn order(analysis: &Analysis<'_>, spares: Spares, held: &Held) -> Schedule {
    let mut lines: Vec<Line> = Vec::new();
    let mut by_thing: BTreeMap<Vec<String>, usize> = BTreeMap::new();
    for (cord, item) in analysis.model.cords.iter() {
        let thing = thing(analysis, cord);
        let at = *by_thing.entry(thing.clone()).or_insert_with(|| {
            lines.push(Line::of(thing));
            lines.len() - 1
        });
        lines[at].add(analysis, cord, &item.item, held);
    }
    lines.sort_by_key(|line| line.first);
    let is_held = lines.iter().any(|line| !line.stands.is_empty());
    let rows: Vec<Row> = lines.into_iter().map(|line| line.row(spares)).collect();
    let spares = match spares {
        Spares(0) => "Without spares.".to_owned(),
        Spares(percent) => format!(
            "Spares: {percent} % of those needed, rounded up, for each row (common practice)."
        ),
    };
    let mut notes = vec![
        spares.as_str(),
        "order: needed and spares, less what is fitted, in store and on order by the `state` of each cord; one without a state is fitted. Input cords that belong to their PDU are not counted.",
    ];
    if is_held {
        notes.insert(0, NOT_FOR_ORDER);
    }
    Schedule::new(COLUMNS, rows, &notes)
}

const NOT_FOR_ORDER: &str = "NOT FOR ORDER: errors or points that are not decided stand on rows of this list. \"cordwright check\" tells them.";

/// A row on its way.
struct Line {
    /// The kind that its first cord is of, so that rows are in the order of the types; cords of no known type last.
    first: (bool, usize),
    types: Vec<String>,
    thing: Vec<String>,
    needed: usize,
    fitted: usize,
    in_store: usize,
    on_order: usize,
    stands: BTreeSet<&'static str>,
    notes: Vec<String>,
}

impl Line {
    fn of(thing: Vec<String>) -> Self {
        Self {
            first: (true, usize::MAX),
            types: Vec::new(),
            thing,
            needed: 0,
            fitted: 0,
            in_store: 0,
            on_order: 0,
            stands: BTreeSet::new(),
            notes: Vec::new(),
        }
    }

    fn add(&mut self, analysis: &Analysis<'_>, cord: Id<Cord>, item: &Cord, held: &Held) {
        let kind = analysis.graph.links.cord_types[cord.index()];
        let order = (kind.is_none(), kind.map_or(cord.index(), Id::index));
        self.first = self.first.min(order);
        let name = given(&item.cord_type);
        if !self.types.contains(&name) {
            self.types.push(name.clone());
            let note = kind.map(|kind| noted(&analysis.model.cord_types[kind]));
            self.notes.extend(note.filter(|note| !note.is_empty()));
        }
        self.needed += 1;
        match item.state.known() {
            Some(CordState::ToFit) => {}
            Some(CordState::OnOrder) => self.on_order += 1,
            Some(CordState::InStore) => self.in_store += 1,
            Some(CordState::Fitted | CordState::ToPull) | None => self.fitted += 1,
        }
        let names = [
            name.as_str(),
            analysis.model.cords[cord].name.value.as_str(),
        ];
        let rules = names.iter().filter_map(|name| held.get(*name)).flatten();
        self.stands.extend(rules.copied());
    }

    fn row(self, spares: Spares) -> Row {
        let more = spares.of(self.needed);
        let there = self.fitted + self.in_store + self.on_order;
        let stands: Vec<&str> = self.stands.into_iter().collect();
        let mut row = vec![self.types.join(", ")];
        // Behind the cells lies what keeps apart things of which something is not known.
        row.extend(self.thing.into_iter().take(TOLD));
        let numbers = [
            self.needed,
            self.fitted,
            self.in_store,
            self.on_order,
            more,
            (self.needed + more).saturating_sub(there),
        ];
        row.extend(numbers.map(|number| number.to_string()));
        row.push(match stands.as_slice() {
            [] => String::new(),
            rules => format!("not for order: {}", rules.join(", ")),
        });
        row.push(self.notes.join("; "));
        row
    }
}

/// Cells of a thing that are shown.
const TOLD: usize = 8;

/// All that a maker must know of a cord: what is the same in all of it is one thing. Two things of which something
/// is not known are not known to be the same.
fn thing(analysis: &Analysis<'_>, cord: Id<Cord>) -> Vec<String> {
    let item = &analysis.model.cords[cord];
    let kind = analysis.graph.links.cord_types[cord.index()];
    let Some(kind) = kind.map(|kind| &analysis.model.cord_types[kind]) else {
        let mut unknown = vec![UNKNOWN.to_owned(); TOLD];
        unknown.push(given(&item.cord_type));
        return unknown;
    };
    let mut thing = vec![
        plug(kind),
        connectors(kind),
        conductor(kind),
        cordage(kind),
        lengths(analysis, kind, cord),
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

/// `C14, left, pin-grip`; of a plug with a fuse `BS 1363, 5 A fuse`.
fn plug(kind: &CordType) -> String {
    let mut words = vec![given(&kind.plug)];
    words.extend(angle(kind, |ends| &ends.plug));
    words.extend(
        kind.plug_fuse()
            .map(|fuse| format!("{} fuse", fuse.value.show())),
    );
    words.extend(hold(kind, |ends| &ends.plug));
    words.join(", ")
}

/// The way the cord leaves an end, where it is not straight; `?` where it cannot be read.
fn angle(kind: &CordType, of: fn(&EndAngle) -> &Optional<Angle>) -> Option<String> {
    let ends = match kind.angle.written() {
        Ok(ends) => ends?,
        Err(_) => return Some(UNKNOWN.to_owned()),
    };
    match of(&ends.value).written() {
        Ok(Some(angle)) if angle.value == Angle::Straight => None,
        Ok(angle) => angle.map(|angle| angle.value.word().to_owned()),
        Err(_) => Some(UNKNOWN.to_owned()),
    }
}

/// What holds an end, where anything does.
fn hold(kind: &CordType, of: fn(&EndRetention) -> &Field<RetentionRef>) -> Option<String> {
    match &kind.retention {
        Field::Absent => None,
        Field::Unreadable(_) => Some(UNKNOWN.to_owned()),
        Field::Given(ends) => match of(&ends.value) {
            Field::Absent => None,
            Field::Unreadable(_) => Some(UNKNOWN.to_owned()),
            Field::Given(hold) if hold.value.retention == Retention::None => None,
            Field::Given(hold) => Some(hold.value.name.to_string()),
        },
    }
}

/// `3 × 1 mm²`, or the size alone where nobody says how many cores there are.
fn conductor(kind: &CordType) -> String {
    let size = or_unknown(kind.conductor.as_written());
    match kind.cores.known() {
        Some(cores) => format!("{cores} × {size}"),
        None => size,
    }
}

/// `H05VV-F`, with what its marks and its maker add: `SJT, 105 °C`, `…, no halogen`.
fn cordage(kind: &CordType) -> String {
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

fn or_unknown(marks: Option<String>) -> String {
    marks.unwrap_or_else(|| UNKNOWN.to_owned())
}

/// The connector, or those of all legs: `C13 (a), C13 (b)`.
fn connectors(kind: &CordType) -> String {
    if kind.legs.is_empty() {
        let mut words = vec![given(&kind.connector)];
        words.extend(angle(kind, |ends| &ends.connector));
        words.extend(hold(kind, |ends| &ends.connector));
        return words.join(", ");
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
