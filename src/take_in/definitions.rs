//! Writing the rows as definitions, each cell with the bytes that it becomes.

use std::ops::Range;

use super::Things;
use super::cord_types::MadeType;
use super::entries::{Entry, Value};
use super::offers;
use crate::ink::{Written, Yaml};

/// The definitions, and where their parts come from.
#[derive(Debug, Default)]
pub(super) struct Definitions {
    pub yaml: Written<Yaml>,
    /// Whole things before their cells.
    places: Vec<Place>,
    /// Where the types end.
    end_of_types: usize,
}

/// Where a part of the definitions comes from.
#[derive(Debug)]
pub(super) struct Place {
    bytes: Range<usize>,
    /// The rows; several of a type that several cords are of.
    pub rows: Vec<usize>,
    /// The column, if it is the cell of one.
    pub column: Option<usize>,
}

impl Definitions {
    pub(super) fn of(things: Things, types: &[MadeType], entries: &[Entry]) -> Self {
        let mut definitions = Self::default();
        if !types.is_empty() {
            definitions.yaml.ours(things.section_of_type()).ours(":\n");
        }
        for made in types {
            definitions.write(&made.rows, &made.name, &made.values);
        }
        definitions.end_of_types = definitions.yaml.len();
        if !entries.is_empty() {
            definitions.yaml.ours(things.section()).ours(":\n");
        }
        for entry in entries {
            definitions.write(&[entry.row], &entry.name, &entry.own);
        }
        definitions
    }

    /// Where the byte at a place comes from: a cell, or else a row as a whole.
    pub(super) fn place_of(&self, byte: usize) -> Option<&Place> {
        let begun = self
            .places
            .partition_point(|place| place.bytes.start <= byte);
        // Before a cell lie at most the others of its thing, and then the thing as a whole.
        let mut before = self.places[..begun].iter().rev();
        let around = before.find(|place| place.bytes.contains(&byte) || place.column.is_none())?;
        around.bytes.contains(&byte).then_some(around)
    }

    /// Whether the byte at a place is of a type.
    pub(super) fn is_of_type(&self, byte: usize) -> bool {
        byte < self.end_of_types
    }

    fn write(&mut self, rows: &[usize], name: &str, values: &[Value]) {
        let start = self.yaml.len();
        let at = self.places.len();
        self.yaml.ours("  ").scalar(name).ours(": {");
        let values: Vec<Under<'_>> = values
            .iter()
            .map(|value| (value.path.as_slice(), value))
            .collect();
        self.write_keys(rows, &values);
        self.yaml.ours("}\n");
        let whole = Place {
            bytes: start..self.yaml.len(),
            rows: rows.to_vec(),
            column: None,
        };
        self.places.insert(at, whole);
    }

    /// The keys of a mapping, those that begin alike in a mapping of their own.
    fn write_keys(&mut self, rows: &[usize], values: &[Under<'_>]) {
        let mut firsts: Vec<&str> = Vec::new();
        for first in values.iter().filter_map(|(path, _)| path.first()) {
            if !firsts.contains(&first.as_str()) {
                firsts.push(first);
            }
        }
        for (number, first) in firsts.into_iter().enumerate() {
            self.yaml.ours(if number > 0 { ", " } else { "" });
            self.yaml.scalar(first).ours(": ");
            let mut below = Vec::new();
            let mut itself = None;
            for (path, value) in values {
                match path {
                    [own] if own == first => itself = Some(*value),
                    [own, rest @ ..] if own == first => below.push((rest, *value)),
                    _ => {}
                }
            }
            match itself {
                Some(value) if below.is_empty() => self.write_cell(rows, first, value),
                // `breaker` beside `breaker.curve` is its rating, and `price` beside `price.100` that of one.
                Some(value) => {
                    let key = if *first == *"price" { "1" } else { "rating" };
                    self.yaml.ours("{").scalar(key).ours(": ");
                    self.write_cell(rows, key, value);
                    self.yaml.ours(", ");
                    self.write_keys(rows, &below);
                    self.yaml.ours("}");
                }
                None => {
                    self.yaml.ours("{");
                    self.write_keys(rows, &below);
                    self.yaml.ours("}");
                }
            }
        }
    }

    fn write_cell(&mut self, rows: &[usize], key: &str, value: &Value) {
        let start = self.yaml.len();
        match key {
            // The lists among the keys of circuits and offers.
            "poles" => write_list(&mut self.yaml, &value.text, &POLES_BETWEEN),
            "lengths" | "colours" => write_list(&mut self.yaml, &value.text, &[offers::BETWEEN]),
            _ if value.is_number => {
                self.yaml.value(&value.text);
            }
            _ => {
                self.yaml.scalar(&value.text);
            }
        }
        self.places.push(Place {
            bytes: start..self.yaml.len(),
            rows: rows.to_vec(),
            column: Some(value.column),
        });
    }
}

/// What is left of the keys that lead to a value, and the value.
type Under<'a> = (&'a [String], &'a Value);

/// Characters of a name at most: messages show no more of one.
const LONGEST: usize = 200;
/// Characters that a key may have in YAML as it is written (YAML 1.2.2, 7.4.2).
const LONGEST_KEY: usize = 1024;

/// Whether a name is too long for a key.
pub(super) fn is_too_long(name: &str) -> bool {
    let mut key = Written::<Yaml>::new();
    key.scalar(name);
    name.chars().count() > LONGEST || key.as_str().chars().count() > LONGEST_KEY
}

/// What stands between poles: `L1 L2 N`, `L1-L2-N`, `L1, L2, N` or `L1+N`.
const POLES_BETWEEN: [char; 7] = [' ', ',', ';', '-', '–', '+', '/'];

/// A text as the list of its parts.
fn write_list(yaml: &mut Written<Yaml>, cell: &str, between: &[char]) {
    let parts = cell.split(between);
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
            write_list(&mut yaml, cell, &POLES_BETWEEN);
            assert_eq!(yaml.as_str(), "[L1, L2, N]", "{cell}");
        }
    }
}
