//! The table that every schedule is, whatever it is written as.

use std::borrow::Cow;

use crate::analysis::Analysis;
use crate::ink::short;
use crate::model::value::{Field, Named};
use crate::quantity::Length;

use super::figure::Figure;

/// What stands where the definitions give nothing, or nothing that can be read.
pub const UNKNOWN: &str = "?";

/// What stands where a thing has no such part.
pub const NONE: &str = "none";

/// A table with its title and what to know about it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Schedule {
    /// What it is of.
    pub title: String,
    /// Its columns.
    pub columns: &'static [Column],
    /// Its rows, each with a cell for every column. Empty is what does not apply; `?` is not known.
    pub rows: Vec<Row>,
    /// What to know about it.
    pub notes: Vec<String>,
    /// Drawings that belong to it.
    pub figures: Vec<Figure>,
}

/// The cells of a row.
pub type Row = Vec<String>;

/// A column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its heading, with the unit of its numbers.
    pub name: &'static str,
    /// What it holds.
    pub holds: Holds,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Words, in as many lines as need be.
    Words,
    /// Names and labels, which stay in one line: in two they would be two.
    Names,
    /// Numbers, which stand to the right.
    Numbers,
}

/// A column of words.
pub(crate) const fn words(name: &'static str) -> Column {
    let holds = Holds::Words;
    Column { name, holds }
}

/// A column of names.
pub(crate) const fn names(name: &'static str) -> Column {
    let holds = Holds::Names;
    Column { name, holds }
}

/// A column of numbers.
pub(crate) const fn numbers(name: &'static str) -> Column {
    let holds = Holds::Numbers;
    Column { name, holds }
}

/// What people have noted of the thing.
pub(super) const NOTE: Column = words("note");

impl Column {
    /// A cell as people read it, the long name in it cut.
    pub(super) fn for_people<'c>(&self, cell: &'c str) -> Cow<'c, str> {
        match self.holds {
            Holds::Names => short(cell),
            Holds::Words | Holds::Numbers => Cow::Borrowed(cell),
        }
    }
}

impl Schedule {
    /// A table of these columns, without a title yet. The last column is left out if it is [`NOTE`] and nobody
    /// has noted anything.
    pub(super) fn new(columns: &'static [Column], mut rows: Vec<Row>, notes: &[&str]) -> Self {
        let mut columns = columns;
        if let [others @ .., NOTE] = columns
            && rows
                .iter()
                .all(|row| row.last().is_none_or(String::is_empty))
        {
            columns = others;
            rows.iter_mut().for_each(|row| row.truncate(others.len()));
        }
        let mut schedule = Self {
            title: String::new(),
            columns,
            rows,
            figures: Vec::new(),
            notes: notes.iter().map(|&note| note.to_owned()).collect(),
        };
        if schedule.rows.iter().flatten().any(|cell| cell == UNKNOWN) {
            let note = "?: not in the definitions, or not readable there.";
            schedule.notes.push(note.to_owned());
        }
        schedule
    }
}

/// What a field gives; `?` where it must be there, or cannot be read.
pub(super) fn given<T: ToString>(field: &Field<T>) -> String {
    let text = field.known().map(ToString::to_string);
    text.unwrap_or_else(|| UNKNOWN.to_owned())
}

/// What somebody has noted of a thing; empty where nobody has.
pub(super) fn noted<T>(thing: &Named<T>) -> String {
    thing
        .note
        .as_ref()
        .map(ToString::to_string)
        .unwrap_or_default()
}

/// A length as it is bought where the site is.
pub(super) fn length(analysis: &Analysis<'_>, length: Option<Length>) -> String {
    length.map_or_else(|| UNKNOWN.to_owned(), |length| analysis.on_tape(length))
}

/// A number of which a part is not known: then it is a lower bound, and says so.
pub(super) fn at_least(number: Option<f64>, is_bound: bool) -> String {
    bounded(number, is_bound.then_some('≥'))
}

/// A limit beside which others are not known: then it is an upper bound, and says so.
pub(super) fn at_most(number: Option<f64>, is_bound: bool) -> String {
    bounded(number, is_bound.then_some('≤'))
}

fn bounded(number: Option<f64>, mark: Option<char>) -> String {
    match (number, mark) {
        (None, _) => UNKNOWN.to_owned(),
        (Some(number), None) => format!("{number:.2}"),
        (Some(number), Some(mark)) => format!("{mark} {number:.2}"),
    }
}
