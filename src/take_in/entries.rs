//! What each row says: the name of a thing, and the values of its keys.

use std::collections::BTreeMap;

use super::columns::{Column, Columns, Holds};
use super::mapping::Mapping;
use super::offers;
use super::remark::Remark;
use super::table::{Cell, Row};
use super::{Things, is_too_long};
use crate::ink::short;
use crate::quantity::typed::{Unclear, tidy};

/// A thing that a row is taken for.
#[derive(Debug)]
pub(super) struct Entry {
    pub row: usize,
    pub name: String,
    /// What is written of the thing itself.
    pub own: Vec<Value>,
    /// What is written of its type.
    pub of_type: Vec<Value>,
}

/// What a cell says.
#[derive(Clone, Debug)]
pub(super) struct Value {
    /// The keys that lead to it.
    pub path: Vec<String>,
    /// The place of its column among the columns.
    pub column: usize,
    pub text: String,
    pub is_number: bool,
}

/// The things that rows are taken for, and what is not taken.
pub(super) fn entries(
    things: Things,
    mapping: &Mapping,
    columns: &Columns,
    rows: &[Row],
) -> (Vec<Entry>, Vec<Remark>) {
    let mut taker = Taker {
        things,
        mapping,
        columns: &columns.all,
        above: BTreeMap::new(),
        names: BTreeMap::new(),
        remarks: Vec::new(),
    };
    let taken = rows.iter().filter_map(|row| taker.entry(row));
    let taken = taken.collect();
    (taken, taker.remarks)
}

struct Taker<'a> {
    things: Things,
    mapping: &'a Mapping,
    columns: &'a [Column],
    /// What stood last in the columns that are filled down.
    above: BTreeMap<usize, Cell>,
    /// The rows in which names stood first.
    names: BTreeMap<String, usize>,
    remarks: Vec<Remark>,
}

impl Taker<'_> {
    fn entry(&mut self, row: &Row) -> Option<Entry> {
        let mut cells = Vec::new();
        for (number, column) in self.columns.iter().enumerate() {
            cells.extend(self.cell(row, column).map(|cell| (number, cell)));
        }
        let named = |(number, _): &&(usize, Cell)| {
            self.columns
                .get(*number)
                .is_some_and(|column| column.holds == Holds::Name)
        };
        let name = cells.iter().find(named).map(|(_, cell)| cell.text.clone());
        let name = self.sound_name(row.number, name.unwrap_or_default())?;
        let currency = self.currency(&cells);
        let mut entry = Entry {
            row: row.number,
            name,
            own: Vec::new(),
            of_type: Vec::new(),
        };
        for (number, cell) in cells {
            self.take(&mut entry, number, (&cell, currency.as_deref()));
        }
        Some(entry)
    }

    /// The currency that a row says in a column of its own.
    fn currency(&self, cells: &[(usize, Cell)]) -> Option<String> {
        cells.iter().find_map(|(number, cell)| {
            let column = self.columns.get(*number)?;
            let meant = column.values.get(&cell.text).unwrap_or(&cell.text);
            (column.holds == Holds::Currency).then(|| meant.clone())
        })
    }

    /// What stands in a column of a row, or above it where that is meant.
    fn cell(&mut self, row: &Row, column: &Column) -> Option<Cell> {
        let cell = row.cell(column.at).cloned();
        if !column.is_filled_down {
            return cell;
        }
        if let Some(cell) = &cell {
            self.above.insert(column.at, cell.clone());
        }
        cell.or_else(|| self.above.get(&column.at).cloned())
    }

    fn sound_name(&mut self, row: usize, name: String) -> Option<String> {
        let what = self.things.what();
        let shown = short(&name);
        let remark = if name.is_empty() {
            let said = format!("the {what} has no name, and is not taken");
            Remark::of_row(row, said, "Give it a name.")
        } else if is_too_long(&name) {
            let said = format!("`{shown}` is longer than a name may be, and is not taken");
            Remark::of_row(row, said, "Give it a name that fits on a label.").caused_by("too long")
        } else if let Some(first) = self.names.get(&name) {
            let said = format!("`{shown}` stands in row {first} already, and is not taken again");
            Remark::of_row(row, said, "Give one of the two another name.").caused_by("twice")
        } else {
            self.names.insert(name.clone(), row);
            return Some(name);
        };
        self.remarks.push(remark);
        None
    }

    fn take(&mut self, entry: &mut Entry, number: usize, (cell, currency): (&Cell, Option<&str>)) {
        let Some(column) = self.columns.get(number) else {
            return;
        };
        let (values, path) = match &column.holds {
            Holds::Value(path) => (&mut entry.own, path.clone()),
            Holds::OfType(path) => (&mut entry.of_type, path.clone()),
            Holds::Owner(key) | Holds::Part(key) => (&mut entry.own, vec![key.clone()]),
            Holds::Name | Holds::Currency | Holds::Nothing => return,
        };
        if is_share(column, cell) {
            self.remarks.push(share(entry.row, &column.heading, cell));
            return;
        }
        if path == ["colours"] {
            let doubt = offers::doubt_of_colours(entry.row, column, cell);
            self.remarks.extend(doubt);
        }
        let text = match self.read(entry.row, column, (cell, currency)) {
            Ok(text) => text,
            Err(remark) => {
                self.remarks.push(*remark);
                return;
            }
        };
        if text.len() > LONGEST {
            let said = format!("holds {} bytes, and is not taken", text.len());
            let remark = Remark::of_row(
                entry.row,
                said,
                "No value is so long: look what stands there.",
            );
            self.remarks
                .push(remark.in_column(&column.heading).caused_by("too long"));
            return;
        }
        let end = match &column.holds {
            Holds::Owner(_) | Holds::Part(_) => values.iter_mut().find(|value| value.path == path),
            _ => None,
        };
        match (end, &column.holds) {
            // The other half of an end is there already.
            (Some(end), Holds::Owner(_)) => end.text = format!("{text}/{}", end.text),
            (Some(end), _) => end.text = format!("{}/{text}", end.text),
            (None, _) => values.push(Value {
                path,
                column: number,
                text,
                is_number: column.takes_number,
            }),
        }
    }
}

impl Taker<'_> {
    /// What a cell says, as the format wants it.
    fn read(
        &self,
        row: usize,
        column: &Column,
        said: (&Cell, Option<&str>),
    ) -> Result<String, Box<Remark>> {
        let (cell, _) = said;
        let key = match &column.holds {
            Holds::Value(path) if self.things == Things::Offers => path.first(),
            _ => None,
        };
        let is_meant = column.values.contains_key(&cell.text);
        let by_key = key.filter(|_| !is_meant);
        let by_key = by_key.and_then(|key| offers::read(row, (column, key), self.mapping, said));
        by_key.unwrap_or_else(|| {
            let text = written(column, self.mapping, cell);
            text.map_err(|unclear| Box::new(asked(row, &column.heading, cell, &unclear)))
        })
    }
}

/// Bytes of a cell at most, and of both halves of an end a quarter of what definitions are read with.
const LONGEST: usize = 1_000;

/// A cell as the format wants it.
fn written(column: &Column, mapping: &Mapping, cell: &Cell) -> Result<String, Unclear> {
    if let Some(meant) = column.values.get(&cell.text) {
        return Ok(meant.clone());
    }
    if !column.takes_number {
        return Ok(cell.text.clone());
    }
    let unit = column.unit.as_deref();
    match cell.is_number {
        true => Ok(unit.map_or_else(|| cell.text.clone(), |unit| format!("{} {unit}", cell.text))),
        false => tidy(&cell.text, mapping.decimal, unit),
    }
}

/// Whether a workbook may show a cell as per cent: it keeps 10 % as the number 0.1, and 0.1 % typed under a heading
/// with the unit is the same number.
fn is_share(column: &Column, cell: &Cell) -> bool {
    let is_per_cent = column.unit.as_deref() == Some("%") && cell.is_number;
    let value = cell.text.parse::<f64>().ok();
    is_per_cent && value.is_some_and(|value| value > 0.0 && value <= 1.0)
}

fn share(row: usize, heading: &str, cell: &Cell) -> Remark {
    let shown = short(&cell.text);
    let what = format!(
        "`{shown}` may be {shown} %, or be shown as per cent in the workbook and be a hundred times as much, so it is not taken"
    );
    let advice = "Write it as a text with its sign, like `10 %`.";
    let remark = Remark::of_row(row, what, advice);
    remark.in_column(heading).caused_by("per cent")
}

pub(super) fn asked(row: usize, heading: &str, cell: &Cell, unclear: &Unclear) -> Remark {
    let Unclear { decimal, whole } = unclear;
    let what = format!(
        "`{}` may be {decimal} or {whole}, so it is not taken",
        short(&cell.text)
    );
    let advice = "Say which mark stands before decimals in a mapping file, `decimal: comma` or `decimal: point`, or write the number in another way.";
    let remark = Remark::of_row(row, what, advice);
    remark.in_column(heading).caused_by("one of two numbers")
}
