//! Reading the spreadsheet: which columns there are, and what they hold.

use crate::source::FileId;
use crate::spelling::nearest;
use crate::yaml::decode_text;

use super::{Remark, Things};

/// The rows, and the columns that are known.
pub(super) struct Sheet {
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
    pub remarks: Vec<Remark>,
}

/// A column of cells that are taken.
pub(super) struct Column {
    /// Its heading, as written.
    pub heading: String,
    /// What it holds.
    pub holds: Holds,
    /// The unit of its numbers, where the heading gives one: `length (m)`.
    pub unit: Option<String>,
}

/// What a column holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Holds {
    /// The name of the thing.
    Name,
    /// The value of a key, or of a key in the mapping under another: `breaker.curve`.
    Value(Vec<String>),
    /// Nothing that is taken.
    Nothing,
}

/// A row with its number in the spreadsheet.
pub(crate) struct Row {
    pub number: usize,
    pub cells: Vec<String>,
}

/// Headings that stand for the name of a thing.
const NAMES: [&str; 4] = ["name", "label", "id", "tag"];

impl Sheet {
    pub(super) fn read(things: Things, bytes: Vec<u8>) -> Self {
        let Cells {
            headings,
            rows,
            mut remarks,
        } = cells(bytes);
        let columns = columns(things, headings, &mut remarks);
        Self {
            rows,
            columns,
            remarks,
        }
    }
}

/// The cells of a spreadsheet.
pub(crate) struct Cells {
    /// Those of the first row.
    pub headings: Vec<String>,
    /// The rows below it that hold anything.
    pub rows: Vec<Row>,
    /// What could not be read.
    pub remarks: Vec<Remark>,
}

/// Reads a spreadsheet, as text with commas, semicolons or tabs between the cells.
pub(crate) fn cells(bytes: Vec<u8>) -> Cells {
    let (text, problem) = decode_text(FileId(0), bytes);
    let text = text.trim_start_matches('\u{feff}');
    let remarks = problem
        .into_iter()
        .map(|problem| Remark::of_row(1, problem.message, problem.advice))
        .collect();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    // The text is UTF-8, and rows may be of any length: nothing is left that could go wrong.
    let records = reader.records().filter_map(Result::ok);
    let mut rows = records.enumerate().map(|(number, record)| Row {
        number: number + 1,
        cells: record.iter().map(str::to_owned).collect(),
    });
    let headings = rows.next().map_or_else(Vec::new, |row| row.cells);
    let rows = rows.filter(|row| row.cells.iter().any(|cell| !cell.is_empty()));
    Cells {
        headings,
        rows: rows.collect(),
        remarks,
    }
}

/// What stands between the cells: whatever the headings have most of.
fn delimiter(text: &str) -> u8 {
    let headings = text.lines().next().unwrap_or_default();
    let count = |mark: &u8| headings.bytes().filter(|byte| byte == mark).count();
    // Of equally many the first.
    let marks = [b',', b';', b'\t'];
    marks.into_iter().rev().max_by_key(count).unwrap_or(b',')
}

fn columns(things: Things, headings: Vec<String>, remarks: &mut Vec<Remark>) -> Vec<Column> {
    let mut columns: Vec<Column> = Vec::new();
    for heading in headings {
        let (word, unit) = without_unit(&heading);
        let mut holds = held_under(things, word);
        let taken = columns.iter().find(|other| other.holds == holds);
        if let Some(other) = taken.filter(|_| holds != Holds::Nothing) {
            let what = format!(
                "holds the same as column `{}`, and is not taken",
                other.heading
            );
            remarks.push(Remark::of_column(
                &heading,
                what,
                "Take one of the two out.",
            ));
            holds = Holds::Nothing;
        } else if holds == Holds::Nothing && !heading.is_empty() {
            remarks.push(unknown(things, &heading));
        }
        let unit = unit.map(str::to_owned);
        columns.push(Column {
            heading,
            holds,
            unit,
        });
    }
    if !columns.iter().any(|column| column.holds == Holds::Name) {
        let what = format!("no column holds the name of the {}", things.what());
        let advice = "Call one of the columns `name`.";
        remarks.push(Remark::of_row(1, what, advice));
    }
    columns
}

/// What a heading stands for: letter case does not matter, nor what its words are joined by.
fn held_under(things: Things, heading: &str) -> Holds {
    let word = normal(heading);
    if NAMES.contains(&word.as_str()) || word == things.what() {
        return Holds::Name;
    }
    let parts: Vec<String> = word.split('.').map(str::to_owned).collect();
    let is_known = things.keys().iter().any(|key| key.name == parts[0]);
    match is_known && parts.iter().all(|part| !part.is_empty()) {
        true => Holds::Value(parts),
        false => Holds::Nothing,
    }
}

/// `length (m)` and `length [m]` without the unit, and the unit.
fn without_unit(heading: &str) -> (&str, Option<&str>) {
    let bracketed = heading.trim_end().strip_suffix([')', ']']);
    let parts = bracketed.and_then(|heading| heading.rsplit_once(['(', '[']));
    parts.map_or((heading, None), |(word, unit)| {
        (word.trim_end(), Some(unit.trim()))
    })
}

fn normal(heading: &str) -> String {
    heading.trim().to_lowercase().replace([' ', '_'], "-")
}

fn unknown(things: Things, heading: &str) -> Remark {
    let keys = things.keys().iter().map(|key| key.name);
    let advice = match nearest(&normal(heading), keys.clone()) {
        Some(near) => format!("Call it `{}` if that is what it holds.", near.word),
        None => format!("Known here: name, {}.", keys.collect::<Vec<_>>().join(", ")),
    };
    let what = format!("is nothing that a {} has, and is not taken", things.what());
    Remark::of_column(heading, what, advice)
}
