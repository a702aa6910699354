//! Models out of lists of devices and strips: what the rows say of the models that they name.

use std::collections::BTreeMap;

use super::columns::Columns;
use super::cord_types::MadeType;
use super::entries::{Entry, Value};
use super::remark::Remark;
use super::{Made, is_too_long};
use crate::ink::short;

/// Inlets of a device at most: a slip like `200x C14` makes none.
const MOST_INLETS: usize = 16;

/// Names that nobody gave.
const CALLED: &str = "Inlets that a cell counts are called psu1, psu2 and so on, in its order: look whether that is what stands on them.";

/// The models that rows say anything of, in the order of their first rows, and what is not taken of them.
pub(super) fn made_models(entries: &mut [Entry], columns: &Columns) -> Made {
    let mut maker = Maker {
        columns,
        models: Vec::new(),
        known: BTreeMap::new(),
        remarks: Vec::new(),
        has_counted: false,
    };
    for entry in entries.iter_mut().filter(|entry| !entry.of_type.is_empty()) {
        let said = std::mem::take(&mut entry.of_type);
        maker.take(entry, said);
    }
    Made {
        types: maker.models,
        remarks: maker.remarks,
        notes: maker
            .has_counted
            .then(|| CALLED.to_owned())
            .into_iter()
            .collect(),
    }
}

struct Maker<'a> {
    columns: &'a Columns,
    models: Vec<MadeType>,
    /// Their places by their names.
    known: BTreeMap<String, usize>,
    remarks: Vec<Remark>,
    /// Whether inlets got names that nobody gave.
    has_counted: bool,
}

impl Maker<'_> {
    fn take(&mut self, entry: &Entry, said: Vec<Value>) {
        let named = entry.own.iter().find(|value| value.path == ["model"]);
        let Some(name) = named.map(|value| value.text.clone()) else {
            let what =
                "says something of a model, and no model is named in its row, so it is not taken";
            let advice = "Name the model: what is said of it holds for all that are of it.";
            for value in &said {
                self.remark(entry.row, value, what.to_owned(), advice, "no model");
            }
            return;
        };
        if is_too_long(&name) {
            let what = "says something of a model whose name is longer than a name may be, so it is not taken";
            for value in &said {
                self.remark(
                    entry.row,
                    value,
                    what.to_owned(),
                    "Give it a shorter name.",
                    "too long",
                );
            }
            return;
        }
        let number = *self.known.entry(name.clone()).or_insert_with(|| {
            self.models.push(MadeType {
                name: name.clone(),
                values: Vec::new(),
                rows: Vec::new(),
            });
            self.models.len() - 1
        });
        for value in said {
            self.say(number, entry.row, value);
        }
    }

    fn say(&mut self, number: usize, row: usize, value: Value) {
        let parts = match value.path == ["inlets"] {
            true => self.inlets(row, &value),
            false => vec![value.clone()],
        };
        let Some(model) = self.models.get_mut(number) else {
            return;
        };
        if parts.is_empty() {
            return;
        }
        if model.rows.last() != Some(&row) {
            model.rows.push(row);
        }
        // All that the same column says: the inlets of a model are one answer.
        let known = model
            .values
            .iter()
            .filter(|known| known.column == value.column);
        let known: Vec<&Value> = known.collect();
        let sense = |value: &Value| (value.path.clone(), without_blanks(&value.text));
        let is_same = known.iter().copied().map(sense).eq(parts.iter().map(sense));
        if known.is_empty() {
            model.values.extend(parts);
        } else if !is_same {
            let texts: Vec<&str> = known.iter().map(|known| known.text.as_str()).collect();
            let what = format!(
                "is `{}` for model {} here and `{}` further up, so only that is taken",
                short(&value.text),
                short(&model.name),
                short(&texts.join(", "))
            );
            let advice = "All that are of a model are alike in it: correct one of the two, or give the models two names.";
            self.remark(row, &value, what, advice, "differs");
        }
    }

    /// The inlets that a cell counts, `2x C14` or `C14, C14`, by names that are made.
    fn inlets(&mut self, row: usize, value: &Value) -> Vec<Value> {
        let Some(couplers) = counted(&value.text) else {
            let what = format!(
                "`{}` does not say how many inlets there are and of which coupler, so it is not taken",
                short(&value.text)
            );
            let advice = "Write it like `2x C14`, or `C14, C14`; or say in a mapping file what is meant, as in `values: {inlets: {'2': 2x C14}}`.";
            self.remark(row, value, what, advice, "inlets");
            return Vec::new();
        };
        self.has_counted = true;
        let named = couplers.into_iter().enumerate().map(|(at, coupler)| Value {
            path: vec!["inlets".to_owned(), format!("psu{}", at + 1)],
            text: coupler,
            ..value.clone()
        });
        named.collect()
    }

    fn remark(&mut self, row: usize, value: &Value, what: String, advice: &str, cause: &str) {
        let remark = Remark::of_row(row, what, advice).caused_by(cause);
        let column = self.columns.all.get(value.column);
        self.remarks.push(match column {
            Some(column) => remark.in_column(&column.heading),
            None => remark,
        });
    }
}

fn without_blanks(text: &str) -> String {
    let letters = text.chars().filter(|c| !c.is_whitespace());
    letters.flat_map(char::to_lowercase).collect()
}

/// The coupler of each inlet; `None` where a part of the text names none, or there are too many.
fn counted(text: &str) -> Option<Vec<String>> {
    let mut all = Vec::new();
    for part in text.split([',', ';', '+', '&', '\n']) {
        let part = part.trim();
        let (count, coupler) = times(part).unwrap_or((1, part));
        let is_named = coupler.chars().any(char::is_alphabetic);
        if !is_named || count == 0 || all.len() + count > MOST_INLETS {
            return None;
        }
        all.extend(std::iter::repeat_n(coupler.to_owned(), count));
    }
    Some(all)
}

/// `2x C14`, `2 × C14` and `2*C14` taken apart.
fn times(part: &str) -> Option<(usize, &str)> {
    let (count, coupler) = part.split_once(['x', 'X', '×', '*'])?;
    Some((count.trim().parse().ok()?, coupler.trim()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inlets_are_counted_as_they_are_written() {
        for (text, couplers) in [
            ("C14", Some(&["C14"][..])),
            ("2x C14", Some(&["C14", "C14"])),
            ("2×C20", Some(&["C20", "C20"])),
            ("C14, C14", Some(&["C14", "C14"])),
            ("1x C14 + 1 x C20", Some(&["C14", "C20"])),
            ("IEC 60320 C14", Some(&["IEC 60320 C14"])),
            ("2", None),
            ("0x C14", None),
            ("200x C14", None),
            (
                "99999999999999999999x C14",
                Some(&["99999999999999999999x C14"]),
            ),
            ("C14,", None),
            ("", None),
        ] {
            let counted = counted(text);
            assert_eq!(
                counted.as_deref(),
                couplers
                    .map(|c| c.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>())
                    .as_deref(),
                "{text}"
            );
        }
    }
}
