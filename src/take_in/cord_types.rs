//! Types of cords out of columns that say what the cords are: those that are alike share one.

use std::collections::BTreeMap;

use super::entries::{Entry, Value};
use super::names::Names;
use super::remark::Remark;
use crate::ink::short;
use crate::model::cords::CordType;
use crate::model::decode::Record;
use crate::quantity::{ConductorSize, Current, Length, Quantity};
use crate::tables::couplers;

/// A type that is made of what rows say.
#[derive(Debug)]
pub(super) struct MadeType {
    pub name: String,
    pub values: Vec<Value>,
    /// The rows of the cords that are of it.
    pub rows: Vec<usize>,
}

/// Keys whose values make the name, in its order.
const NAMING: [&str; 4] = ["plug", "connector", "length", "colour"];

/// The types that the things are of, in the order of their first rows; each thing with what is said of a
/// type is told the name of its own.
pub(super) fn made_types(entries: &mut [Entry]) -> (Vec<MadeType>, Vec<Unproved>) {
    let mut types: Vec<MadeType> = Vec::new();
    let mut unproved = Vec::new();
    let mut known: BTreeMap<Vec<(Vec<String>, String)>, usize> = BTreeMap::new();
    let mut names = Names::default();
    for entry in entries.iter_mut().filter(|entry| !entry.of_type.is_empty()) {
        let (mut values, asked) = with_cores(std::mem::take(&mut entry.of_type), entry.row);
        unproved.extend(asked);
        values.sort_by_key(|value| place(&value.path));
        let number = *known.entry(sense(&values)).or_insert_with(|| {
            let name = names.free(&likely_name(&values));
            types.push(MadeType {
                name,
                values,
                rows: Vec::new(),
            });
            types.len() - 1
        });
        let Some(made) = types.get_mut(number) else {
            continue;
        };
        made.rows.push(entry.row);
        let column = made.values.first().map_or(0, |value| value.column);
        let of = Value {
            path: vec!["type".to_owned()],
            column,
            text: made.name.clone(),
            is_number: false,
        };
        entry.own.insert(0, of);
    }
    (types, unproved)
}

/// The same for rows that are types themselves.
pub(super) fn proved(entries: &mut [Entry]) -> Vec<Unproved> {
    let mut unproved = Vec::new();
    for entry in entries {
        let (values, asked) = with_cores(std::mem::take(&mut entry.own), entry.row);
        entry.own = values;
        unproved.extend(asked);
    }
    unproved
}

/// The place of a key among those of a type.
fn place(path: &[String]) -> usize {
    let own = path.first().map_or("", String::as_str);
    let at = CordType::NAMES.iter().position(|name| *name == own);
    at.unwrap_or(usize::MAX)
}

/// What values mean, however they are spelt.
fn sense(values: &[Value]) -> Vec<(Vec<String>, String)> {
    let senses = values
        .iter()
        .map(|value| (value.path.clone(), meant(value)));
    let mut senses: Vec<_> = senses.collect();
    senses.sort();
    senses
}

fn meant(value: &Value) -> String {
    let text = value.text.as_str();
    let by_key = match value.path.last().map(String::as_str) {
        Some("plug" | "connector") => couplers::find(text).map(|coupler| coupler.name.clone()),
        Some("length") => Length::read(text).ok().map(|length| length.show()),
        Some("conductor") => ConductorSize::read(text).ok().map(|size| size.show()),
        Some("rating" | "fuse") => Current::read(text).ok().map(|current| current.show()),
        _ => None,
    };
    by_key.unwrap_or_else(|| text.to_lowercase())
}

/// What a type is: `c14-c13-1.5m-blue`.
fn likely_name(values: &[Value]) -> String {
    let parts = NAMING.iter().filter_map(|key| {
        let value = values.iter().find(|value| value.path == [*key])?;
        Some(slug(&meant(value)))
    });
    let parts: Vec<String> = parts.filter(|part| !part.is_empty()).collect();
    match parts.is_empty() {
        true => "cord".to_owned(),
        false => parts.join("-").chars().take(LONGEST).collect(),
    }
}

/// Characters of a name that is made.
const LONGEST: usize = 80;

/// Letters, digits and points, the rest as single dashes; a number and its unit together.
fn slug(text: &str) -> String {
    let joined = match text.split_once(' ') {
        Some((number, unit)) if number.parse::<f64>().is_ok() => format!("{number}{unit}"),
        _ => text.to_lowercase(),
    };
    let words = joined.split(|c: char| !c.is_alphanumeric() && c != '.');
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    words.join("-")
}

/// `3G1.5` are three cores, one of them the protective conductor, of 1.5 mm² (marks of harmonised cords, HD 361;
/// from memory, verify). `3x1.5` says the same size; by the same marks none of the three is protective, yet many
/// write it where one is, so that its cores are asked about and not taken.
fn with_cores(mut values: Vec<Value>, row: usize) -> (Vec<Value>, Option<Unproved>) {
    let says_cores = values.iter().any(|value| value.path == ["cores"]);
    let mut unproved = None;
    let conductor = values.iter_mut().find(|value| value.path == ["conductor"]);
    let cores = conductor.and_then(|value| {
        let mark = Mark::read(&value.text)?;
        let written = std::mem::replace(&mut value.text, mark.size);
        let cores = Value {
            path: vec!["cores".to_owned()],
            text: mark.cores,
            is_number: true,
            ..value.clone()
        };
        if !mark.is_proved && !says_cores {
            unproved = Some(Unproved {
                row,
                column: value.column,
                written,
            });
        }
        (mark.is_proved && !says_cores).then_some(cores)
    });
    values.extend(cores);
    (values, unproved)
}

/// A mark that does not say whether one of the cores is protective.
#[derive(Debug)]
pub(super) struct Unproved {
    pub row: usize,
    /// The place of its column among the columns.
    pub column: usize,
    pub written: String,
}

impl Unproved {
    pub fn remark(&self, heading: &str) -> Remark {
        let what = format!(
            "`{}` says the size of the conductors, which is taken, but not for sure whether one of the cores is protective, so `cores` is not taken",
            short(&self.written)
        );
        let advice = "Strictly, `x` means that none is, and `G` that one is; many write `x` for either. Look at the cord: write `3G1.0` if one core is green-and-yellow, or a column `cores`, 2 without and 3 with it.";
        let remark = Remark::of_row(self.row, what, advice);
        remark.in_column(heading).caused_by("cores by x")
    }
}

/// Cores and their size, as on a cord.
struct Mark {
    cores: String,
    size: String,
    /// Whether it says that one of the cores is protective.
    is_proved: bool,
}

impl Mark {
    /// `3G1,5`, `3 x 0,75 mm²`, `2x1.5`; `None` for what is none, or has more cores than a cord of one phase.
    fn read(text: &str) -> Option<Self> {
        let at = text.find(['G', 'g', 'X', 'x', '×'])?;
        let (cores, rest) = text.split_at(at);
        let mut rest = rest.chars();
        let is_proved = matches!(rest.next(), Some('G' | 'g'));
        let size = rest.as_str().trim().replace(',', ".");
        let is_bare = size.parse::<f64>().is_ok();
        let size = if is_bare {
            format!("{size} mm²")
        } else {
            size
        };
        let is_size = matches!(ConductorSize::read(&size), Ok(ConductorSize::Metric(_)));
        let cores = cores.trim();
        let may_be = match is_proved {
            true => cores == "3",
            false => cores == "2" || cores == "3",
        };
        (may_be && is_size).then(|| Self {
            cores: cores.to_owned(),
            size,
            is_proved,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(row: usize, said: &[(&str, &str)]) -> Entry {
        let values = said.iter().enumerate().map(|(column, (key, text))| Value {
            path: vec![(*key).to_owned()],
            column,
            text: (*text).to_owned(),
            is_number: false,
        });
        Entry {
            row,
            name: format!("W-{row}"),
            own: Vec::new(),
            of_type: values.collect(),
        }
    }

    #[test]
    fn cords_that_are_alike_share_a_type_however_it_is_spelt() {
        let mut entries = [
            entry(
                2,
                &[
                    ("plug", "C14"),
                    ("connector", "C13"),
                    ("length", "1.5 m"),
                    ("colour", "blue"),
                ],
            ),
            entry(
                3,
                &[
                    ("plug", "IEC 60320 C14"),
                    ("connector", "C13"),
                    ("length", "1.50 m"),
                    ("colour", "Blue"),
                ],
            ),
            entry(
                4,
                &[
                    ("plug", "C14"),
                    ("connector", "C13"),
                    ("length", "1.5 m"),
                    ("colour", "blue"),
                    ("rating", "10 A"),
                ],
            ),
            entry(
                5,
                &[
                    ("plug", "NEMA 5-15P"),
                    ("connector", "C13"),
                    ("length", "6 ft"),
                ],
            ),
            entry(6, &[("rating", "10 A")]),
        ];
        let (types, _) = made_types(&mut entries);
        let made: Vec<_> = types
            .iter()
            .map(|made| (made.name.as_str(), made.rows.as_slice()))
            .collect();
        assert_eq!(
            made,
            [
                ("c14-c13-1.5m-blue", &[2, 3][..]),
                ("c14-c13-1.5m-blue-2", &[4]),
                ("nema-5-15-c13-1.829m", &[5]),
                ("cord", &[6]),
            ]
        );
        let of: Vec<&str> = entries
            .iter()
            .map(|entry| entry.own[0].text.as_str())
            .collect();
        assert_eq!(of[1], "c14-c13-1.5m-blue");
    }

    #[test]
    fn a_mark_with_g_says_cores_and_one_with_x_does_not() {
        for (text, size, cores, is_asked) in [
            ("3G1,5", "1.5 mm²", Some("3"), false),
            ("3 G 0.75 mm²", "0.75 mm²", Some("3"), false),
            ("3x1,5", "1.5 mm²", None, true),
            ("3x1,0", "1.0 mm²", None, true),
            ("3 x 0,75 mm²", "0.75 mm²", None, true),
            ("2X0.75", "0.75 mm²", None, true),
            ("3×1 mm2", "1 mm2", None, true),
            ("5G2.5", "5G2.5", None, false),
            ("2G1.5", "2G1.5", None, false),
            ("3x", "3x", None, false),
            ("3x1,2,3", "3x1,2,3", None, false),
            ("AWG 18", "AWG 18", None, false),
        ] {
            let [mut only] = [entry(2, &[("conductor", text)])];
            let (values, asked) = with_cores(std::mem::take(&mut only.of_type), only.row);
            assert_eq!(values[0].text, size);
            assert_eq!(values.get(1).map(|value| &*value.text), cores, "{text}");
            assert_eq!(asked.is_some(), is_asked, "{text}");
        }
        // Whoever says the cores is not asked for them.
        let said = entry(2, &[("conductor", "3x1,5"), ("cores", "3")]);
        let (values, asked) = with_cores(said.of_type, 2);
        assert_eq!((values.len(), asked.is_none()), (2, true));
    }
}
