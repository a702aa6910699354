//! What exists already, out of a spreadsheet or a saved tree of resources into definitions: what
//! `cordwright take-in` does.
//!
//! A spreadsheet becomes a [`table`] of cells, whatever it was saved as; its [`headings`](mod@headings) and a [`mapping`]
//! say what the [`columns`] hold; each row becomes an entry, and all of them [`definitions`]. These are then
//! read as a check reads them, so that what it says of them can be told of the cells that they come from.

mod columns;
mod cord_types;
mod definitions;
mod encoding;
mod entries;
mod headings;
mod mapping;
mod models;
mod names;
mod new_site;
mod offers;
mod remark;
mod separated;
pub(crate) mod table;
mod things;
mod tree;
mod unreadable;
mod workbook;

use std::collections::BTreeMap;

use crate::date::Date;
use crate::ink::{Written, Yaml};

use columns::Columns;
use cord_types::{MadeType, made_types, proved};
use definitions::{Definitions, is_too_long};
use entries::{Entry, entries};
use headings::{Headings, headings};
use models::made_models;
use new_site::Names;
use remark::gathered;
use table::{Reading, Table, letters};

pub use mapping::Mapping;
pub use new_site::{NewSite, new_site};
pub use remark::{At, Remark};
pub use things::Things;
pub use tree::{Units, take_in_units};

/// What became of a spreadsheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The definitions, a line for each row that was taken.
    pub yaml: Written<Yaml>,
    /// How many things that is, without the types that were made for them.
    pub count: usize,
    /// How it was read, where that is worth telling.
    pub notes: Vec<String>,
    /// What was not taken, or cannot be read, in the order of the rows.
    pub remarks: Vec<Remark>,
    /// What it defines, and what it takes to be defined.
    names: Names,
}

/// Takes the rows of a spreadsheet: a workbook (.xlsx), or a text with commas, semicolons or tabs between the
/// cells.
pub fn take_in(things: Things, mapping: &Mapping, bytes: &[u8], today: Date) -> Taken {
    let reading = Reading {
        sheet: mapping.sheet.as_deref(),
        encoding: mapping.encoding,
    };
    let mut table = Table::read(bytes, reading);
    let is_read = table.remarks.is_empty() || !table.rows.is_empty();
    let headings = headings(things, mapping, &mut table);
    let columns = Columns::of(things, mapping, &headings.cells, headings.row);
    let (mut entries, mut remarks) =
        entries(things, mapping, &columns, rows_of(&columns, &headings));
    let made = made(things, &mut entries, &columns);
    let types = made.types;
    remarks.extend(made.remarks);
    let definitions = Definitions::of(things, &types, &entries);
    remarks.extend(unreadable::unreadable(
        things,
        &definitions,
        &columns,
        headings.row,
        today,
    ));
    if columns.have_name() {
        remarks.extend(without_heading(&headings));
    }
    let mut notes = table.notes;
    notes.extend(headings.notes);
    notes.extend(columns.notes);
    notes.extend(made.notes);
    // Where nothing could be read, no heading is missing.
    if is_read {
        remarks.extend(headings.remarks);
        remarks.extend(columns.remarks);
    }
    remarks.extend(table.remarks);
    let shared = table
        .shared
        .into_iter()
        .filter(|shared| shared.last > headings.row);
    remarks.extend(shared.map(|shared| shared.remark));
    Taken {
        names: Names::of(things, &types, &entries),
        yaml: definitions.yaml,
        count: entries.len(),
        notes,
        remarks: gathered(remarks),
    }
}

/// The types and models that rows say something of.
struct Made {
    types: Vec<MadeType>,
    /// What is to be said of how they are made.
    notes: Vec<String>,
    /// What is not taken of them.
    remarks: Vec<Remark>,
}

fn made(things: Things, entries: &mut [Entry], columns: &Columns) -> Made {
    let (types, unproved) = match things {
        Things::CordTypes => (Vec::new(), proved(entries)),
        _ if things.name_models() => return made_models(entries, columns),
        _ => made_types(entries),
    };
    let remarks = unproved.iter().filter_map(|asked| {
        let column = columns.all.get(asked.column)?;
        Some(asked.remark(&column.heading))
    });
    Made {
        types,
        notes: Vec::new(),
        remarks: remarks.collect(),
    }
}

/// The rows below the headings; none where no column names them, for then that is what is to be told.
fn rows_of<'a>(columns: &Columns, headings: &'a Headings) -> &'a [table::Row] {
    match columns.have_name() {
        true => &headings.rows,
        false => &[],
    }
}

/// Cells under no heading: they are not taken, and not lost without a word.
fn without_heading(headings: &Headings) -> Vec<Remark> {
    let mut rows_of: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for row in &headings.rows {
        for (column, _) in &row.cells {
            if headings
                .cells
                .binary_search_by_key(column, |(at, _)| *at)
                .is_err()
            {
                rows_of.entry(*column).or_default().push(row.number);
            }
        }
    }
    let remarks = rows_of.into_iter().map(|(column, rows)| {
        let what = "what stands here is under no heading, and is not taken";
        let advice = "Give the column a heading; where headings stand in two rows, say so in a mapping file: `headings: [1, 2]`.";
        Remark::new(At::Rows(rows), what, advice).in_column(&letters(column))
    });
    remarks.collect()
}
