//! Writing the rows as definitions, each cell with the bytes that it becomes.

use std::collections::BTreeMap;
use std::ops::Range;

use super::sheet::{Holds, Row, Sheet};
use super::{Remark, Things};

/// The definitions, and where their parts come from.
pub(super) struct Definitions {
    pub yaml: String,
    pub rows: usize,
    pub remarks: Vec<Remark>,
    /// Bytes, row and, of a single cell, column; whole rows before their cells.
    places: Vec<(Range<usize>, usize, Option<usize>)>,
}

impl Definitions {
    pub(super) fn of(things: Things, sheet: &Sheet) -> Self {
        let mut definitions = Self {
            yaml: format!("{}:\n", things.section()),
            rows: 0,
            remarks: Vec::new(),
            places: Vec::new(),
        };
        let name_at = sheet
            .columns
            .iter()
            .position(|column| column.holds == Holds::Name);
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        for row in &sheet.rows {
            let name = name_at
                .and_then(|at| row.cells.get(at))
                .map_or("", String::as_str);
            if name.is_empty() {
                let what = format!("the {} has no name, and is not taken", things.what());
                definitions
                    .remarks
                    .push(Remark::of_row(row.number, what, "Give it a name."));
            } else if let Some(first) = names.get(name) {
                let what =
                    format!("`{name}` stands in row {first} already, and is not taken again");
                let advice = "Give one of the two another name.";
                definitions
                    .remarks
                    .push(Remark::of_row(row.number, what, advice));
            } else {
                names.insert(name, row.number);
                definitions.write_row(sheet, row, name);
            }
        }
        if definitions.rows == 0 {
            definitions.yaml.clear();
        }
        definitions
    }

    /// The row, and the column if it is one cell's, that became the byte at a place.
    pub(super) fn cell_at(&self, byte: usize) -> Option<(usize, Option<usize>)> {
        let begun = self
            .places
            .partition_point(|(range, ..)| range.start <= byte);
        // Before a cell lie at most the others of its row, and then the row as a whole.
        let mut before = self.places[..begun].iter().rev();
        let around = before.find(|(range, _, column)| range.contains(&byte) || column.is_none());
        let (range, row, column) = around?;
        range.contains(&byte).then_some((*row, *column))
    }

    fn write_row(&mut self, sheet: &Sheet, row: &Row, name: &str) {
        let start = self.yaml.len();
        let at = self.places.len();
        self.yaml += &format!("  {}: {{", scalar(name));
        let cells = sheet.columns.iter().enumerate().filter_map(|(at, column)| {
            let cell = row.cells.get(at).filter(|cell| !cell.is_empty())?;
            match &column.holds {
                Holds::Value(keys) => {
                    // A number under `length (m)` has its unit there.
                    let unit = column.unit.as_ref().filter(|_| cell.parse::<f64>().is_ok());
                    let text = unit.map_or_else(|| cell.clone(), |unit| format!("{cell} {unit}"));
                    Some((keys.as_slice(), at, text))
                }
                Holds::Name | Holds::Nothing => None,
            }
        });
        let cells: Vec<Cell<'_>> = cells.collect();
        self.write_keys(row.number, &cells);
        self.yaml += "}\n";
        self.rows += 1;
        self.places
            .insert(at, (start..self.yaml.len(), row.number, None));
    }

    /// The keys of a mapping, those that begin alike in a mapping of their own.
    fn write_keys(&mut self, row: usize, cells: &[Cell<'_>]) {
        let mut firsts: Vec<&str> = cells.iter().map(|(keys, ..)| keys[0].as_str()).collect();
        let mut seen = Vec::new();
        firsts.retain(|first| {
            let is_new = !seen.contains(first);
            seen.push(*first);
            is_new
        });
        for (number, first) in firsts.into_iter().enumerate() {
            if number > 0 {
                self.yaml += ", ";
            }
            self.yaml += &format!("{}: ", scalar(first));
            let same = cells.iter().filter(|(keys, ..)| keys[0] == first);
            let below: Vec<Cell<'_>> = same
                .clone()
                .filter(|(keys, ..)| keys.len() > 1)
                .map(|(keys, at, cell)| (&keys[1..], *at, cell.clone()))
                .collect();
            match same.clone().find(|(keys, ..)| keys.len() == 1) {
                // `breaker` beside `breaker.curve` is its rating.
                Some((_, at, cell)) if below.is_empty() => self.write_cell(row, first, *at, cell),
                Some((_, at, cell)) => {
                    self.yaml += "{rating: ";
                    self.write_cell(row, "rating", *at, cell);
                    self.yaml += ", ";
                    self.write_keys(row, &below);
                    self.yaml += "}";
                }
                None => {
                    self.yaml += "{";
                    self.write_keys(row, &below);
                    self.yaml += "}";
                }
            }
        }
    }

    fn write_cell(&mut self, row: usize, key: &str, column: usize, cell: &str) {
        let start = self.yaml.len();
        self.yaml += &match key {
            // The one list among the keys of circuits.
            "poles" => list(cell),
            _ => scalar(cell),
        };
        self.places
            .push((start..self.yaml.len(), row, Some(column)));
    }
}

/// The keys that lead to a cell, its column, and its text.
type Cell<'a> = (&'a [String], usize, String);

/// `L1 L2 N`, `L1-L2-N`, `L1, L2, N` or `L1+N` as a list.
fn list(cell: &str) -> String {
    let parts = cell.split([' ', ',', ';', '-', '–', '+', '/']);
    let parts = parts.map(str::trim).filter(|part| !part.is_empty());
    let parts: Vec<String> = parts.map(scalar).collect();
    format!("[{}]", parts.join(", "))
}

/// A text as YAML, in quotes unless every reader takes it for itself without them.
fn scalar(text: &str) -> String {
    let is_plain = |c: char| c.is_alphanumeric() || " -_./²°%–".contains(c);
    let begins_well = text.starts_with(|c: char| c.is_ascii_alphabetic() || c.is_ascii_digit());
    let is_trap = crate::quantity::trap::taken_for(text).is_some() || is_number_or_nothing(text);
    if begins_well && text.chars().all(is_plain) && !text.ends_with(' ') && !is_trap {
        return text.to_owned();
    }
    format!("'{}'", text.replace('\'', "''"))
}

fn is_number_or_nothing(text: &str) -> bool {
    text.parse::<f64>().is_ok() || text.eq_ignore_ascii_case("null")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_quoted_where_a_reader_may_take_it_for_something_else() {
        for text in [
            "W-0412",
            "10 A",
            "tide-01/psu1",
            "1.5 mm²",
            "IEC 60309 16 A",
        ] {
            assert_eq!(scalar(text), text);
        }
        for (text, quoted) in [
            ("NO", "'NO'"),
            ("12:30", "'12:30'"),
            ("0412", "'0412'"),
            ("it's", "'it''s'"),
            ("a, b", "'a, b'"),
            ("- x", "'- x'"),
            ("null", "'null'"),
            ("a: b", "'a: b'"),
        ] {
            assert_eq!(scalar(text), quoted);
        }
        assert_eq!(list("L1-L2 - N"), "[L1, L2, N]");
    }
}
