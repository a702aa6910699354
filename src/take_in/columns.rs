//! What the columns of a spreadsheet hold, by their headings and the mapping file.

use std::collections::BTreeMap;

use super::Things;
use super::mapping::Mapping;
use super::offers;
use super::remark::{At, Remark};
use super::things::takes_number;
use crate::model::decode::with_article;
use crate::spelling::nearest;

/// A column with a heading.
#[derive(Debug)]
pub(super) struct Column {
    /// Its place, from 0 on.
    pub at: usize,
    /// Its heading, as written.
    pub heading: String,
    /// What it holds.
    pub holds: Holds,
    /// The unit of its bare numbers.
    pub unit: Option<String>,
    pub takes_number: bool,
    /// What words of the spreadsheet mean in it.
    pub values: BTreeMap<String, String>,
    /// Whether an empty cell means what stands above it.
    pub is_filled_down: bool,
}

impl Column {
    /// What its heading has in brackets.
    pub fn in_brackets(&self) -> Option<&str> {
        without_unit(&self.heading).1
    }
}

/// What a column holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Holds {
    /// The name of the thing.
    Name,
    /// The value of a key, or of a key in the mapping under another: `breaker.curve`.
    Value(Vec<String>),
    /// The same of the type that the thing is made of.
    OfType(Vec<String>),
    /// The thing at an end of a cord, as in `from.pdu`.
    Owner(String),
    /// The outlet or inlet at an end of a cord, as in `to.inlet`.
    Part(String),
    /// The currency of the prices in its row.
    Currency,
    /// Nothing that is taken.
    Nothing,
}

/// The heading of a column with the currency of all prices in a row.
const CURRENCY: &str = "currency";
/// Headings that stand for the name of a thing.
const NAMES: [&str; 4] = ["name", "label", "id", "tag"];
/// Words of the trade for keys of the format.
const ALSO: [(&str, &str); 13] = [
    ("gauge", "conductor"),
    ("cross-section", "conductor"),
    ("jacket", "cordage"),
    ("color", "colour"),
    ("current", "rating"),
    ("hostname", "name"),
    ("position", "at"),
    ("rack-position", "at"),
    ("u-position", "at"),
    ("rack-unit", "at"),
    ("nameplate", "rating"),
    ("load", "draw"),
    ("measured-load", "draw"),
];
/// Keys that only rack units can be meant in, so that a bare number is one of them.
const IN_RACK_UNITS: [&str; 3] = ["at", "mount.foot", "mount.head"];
/// The keys of a cord's ends.
const ENDS: [&str; 2] = ["from", "to"];
/// Words for what is at an end, and for the part of it.
const OWNERS: [&str; 2] = ["pdu", "device"];
const PARTS: [&str; 2] = ["outlet", "inlet"];

/// The columns, what is to be said of how they are read, and what is to be put right.
#[derive(Debug, Default)]
pub(super) struct Columns {
    pub all: Vec<Column>,
    pub notes: Vec<String>,
    pub remarks: Vec<Remark>,
}

impl Columns {
    pub fn of(things: Things, mapping: &Mapping, headings: &[(usize, String)], row: usize) -> Self {
        let mut columns = Self::default();
        let words = headings
            .iter()
            .map(|(_, heading)| meaning(things, mapping, heading));
        let words: Vec<String> = words.collect();
        let has = |own: &str| {
            let mut taken = headings.iter().zip(&words);
            taken.any(|((_, heading), word)| word == own && !lists(&mapping.ignore, heading))
        };
        let (has_type, has_name) = (has("type"), has("name"));
        let mut heading_of: Vec<(Holds, &str)> = Vec::new();
        for ((at, heading), word) in headings.iter().zip(&words) {
            let is_ignored = lists(&mapping.ignore, heading);
            let mut holds = match is_ignored {
                true => Holds::Nothing,
                // Lists that machines write have an `id` beside the name.
                false if has_name && word != "name" && is_name(things, word) => Holds::Nothing,
                false => held_under(things, word, has_type),
            };
            let same = heading_of.iter().find(|(other, _)| clash(other, &holds));
            if let Some((_, other)) = same.filter(|_| holds != Holds::Nothing) {
                let what = format!("holds the same as column `{other}`, and is not taken");
                let remark = Remark::of_row(row, what, "Take one of the two out.");
                columns.remarks.push(remark.in_column(heading));
                holds = Holds::Nothing;
            } else if holds == Holds::Nothing && !is_ignored {
                columns
                    .remarks
                    .push(unknown((things, mapping), heading, word, row));
            }
            heading_of.push((holds.clone(), heading));
            columns.push(things, mapping, (*at, heading), holds);
        }
        if !columns.have_name() {
            // What the others are is a question of its own only once the headings are found.
            columns.remarks = vec![columns.without_name(things, row)];
        }
        columns.look_for_idle(things, mapping);
        columns
    }

    fn push(
        &mut self,
        things: Things,
        mapping: &Mapping,
        (at, heading): (usize, &str),
        holds: Holds,
    ) {
        let (keys, path) = match &holds {
            Holds::Value(path) => (things.keys(), path.clone()),
            Holds::OfType(path) => (things.keys_of_type(), path.clone()),
            Holds::Owner(key) | Holds::Part(key) => (things.keys(), vec![key.clone()]),
            Holds::Currency => (things.keys(), vec![CURRENCY.to_owned()]),
            Holds::Name | Holds::Nothing => (things.keys(), Vec::new()),
        };
        let key = path.join(".");
        let takes_number = takes_number(keys, &path);
        let own = without_unit(heading).1.filter(|_| takes_number);
        // `price (net)` says no currency.
        let own = own.map_or(own, |own| match path.first() {
            Some(key) if key == "price" => offers::currency(own),
            _ => Some(own),
        });
        let given = mapping.units.iter();
        let mut given = given.filter(|(own, _)| in_format(things, own) == key);
        let given = given.next().map(|(_, unit)| unit);
        if let (Some(own), Some(given)) = (own, given)
            && own != given
        {
            let note =
                format!("Column \"{heading}\" says its unit itself: {own} is taken, not {given}.");
            self.notes.push(note);
        }
        self.all.push(Column {
            at,
            heading: heading.to_owned(),
            unit: own
                .map(str::to_owned)
                .or_else(|| given.cloned())
                .or_else(|| {
                    IN_RACK_UNITS
                        .contains(&key.as_str())
                        .then(|| "U".to_owned())
                }),
            takes_number,
            values: meant_in(things, mapping, &key),
            is_filled_down: lists(&mapping.fill_down, heading),
            holds,
        });
    }

    /// Whether any column holds a key.
    pub fn hold(&self, key: &str) -> bool {
        self.all.iter().any(|column| match &column.holds {
            Holds::Value(path) => path.first().is_some_and(|own| own == key),
            // Types are made of what these columns say.
            Holds::OfType(path) => key == "type" || path.first().is_some_and(|own| own == key),
            Holds::Owner(own) | Holds::Part(own) => own == key,
            Holds::Currency => key == CURRENCY,
            Holds::Name | Holds::Nothing => false,
        })
    }

    pub fn have_name(&self) -> bool {
        self.all.iter().any(|column| column.holds == Holds::Name)
    }

    fn without_name(&self, things: Things, row: usize) -> Remark {
        let what = format!(
            "column `name` is missing: no column holds the name of the {}, so no row is taken",
            things.what()
        );
        let advice = format!(
            "Call one of the columns `name`, or say in a mapping file which it is, `columns: {{HEADING: name}}`, and which row holds the headings if it is not this one: `headings: [3]`. {}",
            self.listed()
        );
        Remark::of_row(row, what, advice)
    }

    /// Headings and keys that the mapping names and that are not there.
    fn look_for_idle(&mut self, things: Things, mapping: &Mapping) {
        let named = mapping.columns.iter().map(|(heading, _)| heading);
        let named = named.chain(&mapping.ignore).chain(&mapping.fill_down);
        let missing = named.filter(|heading| {
            let is_there = |column: &Column| is_heading(heading, &column.heading);
            !self.all.iter().any(is_there)
        });
        let whats = missing.map(|heading| {
            format!("the mapping file names the column `{heading}`, which is not there")
        });
        let keys = mapping.units.keys().chain(mapping.values.keys());
        let idle = keys.filter(|key| {
            let first = key.split('.').next().unwrap_or_default();
            !self.hold(in_format(things, first))
        });
        let whats: Vec<String> =
            whats
                .chain(idle.map(|key| {
                    format!("a unit or a word is given for `{key}`, which no column holds")
                }))
                .collect();
        let advice = self.listed();
        let remarks = whats
            .into_iter()
            .map(|what| Remark::new(At::Whole, what, advice.clone()));
        self.remarks.extend(remarks);
    }

    fn listed(&self) -> String {
        let headings = self.all.iter().map(|column| column.heading.as_str());
        match headings.collect::<Vec<_>>().as_slice() {
            [] => "No headings are here at all.".to_owned(),
            some => format!("Headings here: {}.", some.join(", ")),
        }
    }
}

/// Whether two columns say the same: a whole end of a cord is said by its halves, too.
fn clash(one: &Holds, other: &Holds) -> bool {
    let are_end_and_half = |whole: &Holds, half: &Holds| match (whole, half) {
        (Holds::Value(path), Holds::Owner(key) | Holds::Part(key)) => *path == [key.as_str()],
        _ => false,
    };
    one == other || are_end_and_half(one, other) || are_end_and_half(other, one)
}

/// What a heading means: the word that the mapping has for it, or its own without the unit.
pub(super) fn meaning(things: Things, mapping: &Mapping, heading: &str) -> String {
    let mapped = mapping
        .columns
        .iter()
        .find(|(own, _)| is_heading(own, heading));
    let word = match mapped {
        Some((_, word)) => normal(word),
        None => normal(without_unit(heading).0),
    };
    in_format(things, &word).to_owned()
}

/// The key that a word of the trade stands for; any other word as it is.
fn in_format(things: Things, word: &str) -> &str {
    let own: &[(&str, &str)] = match things {
        Things::Offers => &offers::ALSO,
        _ => &[],
    };
    let mut also = own.iter().chain(&ALSO);
    also.find(|(also, _)| *also == word)
        .map_or(word, |(_, key)| key)
}

/// What words of the spreadsheet mean in a key.
fn meant_in(things: Things, mapping: &Mapping, key: &str) -> BTreeMap<String, String> {
    let words = mapping.values.iter();
    let words = words.filter(|(own, _)| in_format(things, own) == key);
    let words = words.flat_map(|(_, words)| words.clone());
    words.collect()
}

/// Whether a word stands for the name of a thing.
pub(super) fn is_name(things: Things, word: &str) -> bool {
    NAMES.contains(&word) || word == normal(things.what())
}

fn held_under(things: Things, word: &str, has_type: bool) -> Holds {
    if is_name(things, word) {
        return Holds::Name;
    }
    if things == Things::Offers && word == CURRENCY {
        return Holds::Currency;
    }
    let path: Vec<String> = word.split('.').map(str::to_owned).collect();
    if path.iter().any(String::is_empty) {
        return Holds::Nothing;
    }
    if let (Things::Cords, [end, part]) = (things, path.as_slice())
        && ENDS.contains(&end.as_str())
    {
        if OWNERS.contains(&part.as_str()) {
            return Holds::Owner(end.clone());
        }
        if PARTS.contains(&part.as_str()) {
            return Holds::Part(end.clone());
        }
    }
    let is_among = |keys: &[crate::model::decode::Key]| {
        keys.iter()
            .any(|key| Some(key.name) == path.first().map(String::as_str))
    };
    if things == Things::Pdus
        && let Some((_, key)) = OF_STRIPS.iter().find(|(also, _)| *also == word)
    {
        return Holds::Value(key.split('.').map(str::to_owned).collect());
    }
    let is_of_type = match things.name_models() {
        true => is_of_model(things, &path) && is_among(things.keys_of_type()),
        false => !has_type && is_among(things.keys_of_type()),
    };
    match is_of_type {
        true => Holds::OfType(path),
        false if is_among(things.keys()) || word == "note" => Holds::Value(path),
        false => Holds::Nothing,
    }
}

/// Words of the trade for keys of a strip.
const OF_STRIPS: [(&str, &str); 2] = [("circuit", "from"), ("side", "mount.side")];

/// Whether a key that both may have is one of the model: a device says of an inlet its feed, and why it stays
/// free; what the inlet is, its model.
fn is_of_model(things: Things, path: &[String]) -> bool {
    let is_own = things
        .keys()
        .iter()
        .any(|key| Some(key.name) == path.first().map(String::as_str));
    let of_inlet = path.get(2).map(String::as_str);
    !is_own
        || path.first().is_some_and(|first| first == "inlets")
            && !matches!(of_inlet, Some("feed" | "unused"))
}

fn lists(listed: &[String], heading: &str) -> bool {
    listed.iter().any(|own| is_heading(own, heading))
}

/// Whether a heading is meant by a word for it, its unit written or not.
fn is_heading(word: &str, heading: &str) -> bool {
    let word = normal(word);
    word == normal(heading) || word == normal(without_unit(heading).0)
}

/// `length (m)` and `length [m]` without the unit, and the unit.
fn without_unit(heading: &str) -> (&str, Option<&str>) {
    let bracketed = heading.trim_end().strip_suffix([')', ']']);
    let parts = bracketed.and_then(|heading| heading.rsplit_once(['(', '[']));
    parts.map_or((heading, None), |(word, unit)| {
        (word.trim_end(), Some(unit.trim()))
    })
}

/// Letter case does not matter, nor what words are joined by.
fn normal(heading: &str) -> String {
    let words = heading.split(|c: char| c.is_whitespace() || c == '_');
    let words: Vec<String> = words
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    words.join("-")
}

fn unknown((things, mapping): (Things, &Mapping), heading: &str, word: &str, row: usize) -> Remark {
    let what = format!(
        "is nothing that {} has, and is not taken",
        with_article(things.what())
    );
    let is_mapped = mapping
        .columns
        .iter()
        .any(|(own, _)| is_heading(own, heading));
    let what = match is_mapped {
        false => what,
        true => format!("is `{word}` by the mapping file, which {what}"),
    };
    let offered = offered(things, word).map(str::to_owned);
    let advice = offered.unwrap_or_else(|| nearest_key(things, word));
    let remark = Remark::new(At::Rows(vec![row]), what, advice);
    remark.in_column(heading)
}

/// What to do about words that may mean one key or another, and about facts that stand elsewhere.
fn offered(things: Things, word: &str) -> Option<&'static str> {
    Some(match (things, word) {
        (Things::Devices, "watts" | "power" | "wattage" | "consumption" | "w") => {
            "Call it `draw` if it is measured or planned, `rating` if it is what the nameplate says."
        }
        (Things::Devices, "u" | "unit" | "units" | "height-unit" | "slot") => {
            "Call it `at` if it is the lowest rack unit that a device takes, `height` if it is how many."
        }
        (Things::Pdus, "outlets" | "outlet" | "sockets") => {
            "Outlets lie in the banks of its model, each between two poles: write them there, as in `banks: {B1: {between: L1-N, breaker: 16 A, outlets: {1-8: C13}}}`."
        }
        (Things::Pdus, "feed") => {
            "A strip is on the feed of the supply behind its circuit: name the circuit under `from`."
        }
        _ => return None,
    })
}

fn nearest_key(things: Things, word: &str) -> String {
    let keys = things.keys().iter().chain(things.keys_of_type());
    let keys = keys.map(|key| key.name);
    let mut known: Vec<&str> = Vec::new();
    keys.for_each(|key| known.extend((!known.contains(&key)).then_some(key)));
    match nearest(word, known.iter().copied()) {
        Some(near) => format!("Call it `{}` if that is what it holds.", near.word),
        None => format!(
            "Known here: name, {}, note. A mapping file can name it, or list it under `ignore`.",
            known.join(", ")
        ),
    }
}
