//! Writing the rows as definitions, each cell with the bytes that it becomes.

use std::collections::BTreeMap;
use std::ops::Range;

use super::sheet::{Holds, Row, Sheet};
use super::{Remark, Things};
use crate::ink::{Written, Yaml, short};

/// The definitions, and where their parts come from.
pub(super) struct Definitions {
    pub yaml: Written<Yaml>,
    pub rows: usize,
    pub remarks: Vec<Remark>,
    /// Bytes, row and, of a single cell, column; whole rows before their cells.
    places: Vec<(Range<usize>, usize, Option<usize>)>,
}

impl Definitions {
    pub(super) fn of(things: Things, sheet: &Sheet) -> Self {
        let mut yaml = Written::new();
        yaml.ours(things.section()).ours(":\n");
        let mut definitions = Self {
            yaml,
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
            } else if is_too_long(name) {
                let name = short(name);
                let what = format!("`{name}` is longer than a name may be, and is not taken");
                let advice = "Give it a name that fits on a label.";
                definitions
                    .remarks
                    .push(Remark::of_row(row.number, what, advice));
            } else if let Some(first) = names.get(name) {
                let name = short(name);
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
            definitions.yaml = Written::new();
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
        self.yaml.ours("  ").scalar(name).ours(": {");
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
        self.yaml.ours("}\n");
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
                self.yaml.ours(", ");
            }
            self.yaml.scalar(first).ours(": ");
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
                    self.yaml.ours("{rating: ");
                    self.write_cell(row, "rating", *at, cell);
                    self.yaml.ours(", ");
                    self.write_keys(row, &below);
                    self.yaml.ours("}");
                }
                None => {
                    self.yaml.ours("{");
                    self.write_keys(row, &below);
                    self.yaml.ours("}");
                }
            }
        }
    }

    fn write_cell(&mut self, row: usize, key: &str, column: usize, cell: &str) {
        let start = self.yaml.len();
        match key {
            // The one list among the keys of circuits.
            "poles" => write_list(&mut self.yaml, cell),
            _ => {
                self.yaml.scalar(cell);
            }
        }
        self.places
            .push((start..self.yaml.len(), row, Some(column)));
    }
}

/// The keys that lead to a cell, its column, and its text.
type Cell<'a> = (&'a [String], usize, String);

/// Characters of a name at most: messages show no more of one.
const LONGEST: usize = 200;
/// Characters that a key may have in YAML as it is written (YAML 1.2.2, 7.4.2).
const LONGEST_KEY: usize = 1024;

fn is_too_long(name: &str) -> bool {
    let mut key = Written::<Yaml>::new();
    key.scalar(name);
    name.chars().count() > LONGEST || key.as_str().chars().count() > LONGEST_KEY
}

/// `L1 L2 N`, `L1-L2-N`, `L1, L2, N` or `L1+N` as a list.
fn write_list(yaml: &mut Written<Yaml>, cell: &str) {
    let parts = cell.split([' ', ',', ';', '-', '–', '+', '/']);
    let parts = parts.map(str::trim).filter(|part| !part.is_empty());
    yaml.ours("[");
    for (number, part) in parts.enumerate() {
        yaml.ours(if number > 0 { ", " } else { "" }).scalar(part);
    }
    yaml.ours("]");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_no_longer_than_a_key_may_be_however_it_is_written() {
        for (name, is_long) in [
            ("é".repeat(200), false),
            ("é".repeat(201), true),
            ("\u{7}".repeat(150), false),
            ("\u{7}".repeat(190), true),
        ] {
            assert_eq!(is_too_long(&name), is_long, "{name}");
        }
    }

    #[test]
    fn poles_are_a_list_however_they_are_joined() {
        for cell in ["L1-L2 - N", "L1 L2 N", "L1, L2, N", "L1+L2/N"] {
            let mut yaml = Written::new();
            write_list(&mut yaml, cell);
            assert_eq!(yaml.as_str(), "[L1, L2, N]", "{cell}");
        }
    }
}
