//! Names that are known and not read: what may be meant by them, and why nobody reads them.

use serde::Deserialize;

use super::{Provenance, Table};
use crate::citation::Cited;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    written: Vec<String>,
    means: Vec<String>,
    why: String,
    from: Provenance,
}

/// A name that is known and not read.
pub(crate) struct Offered {
    /// Its spellings.
    pub(super) written: Vec<String>,
    /// Names of the tables that may be meant.
    pub(super) means: Vec<String>,
    /// Why it is not read, and where that comes from.
    pub why: Cited<String>,
}

/// The names of a table that is built in.
pub(super) fn embedded(name: &str, text: &str) -> Vec<Offered> {
    let mut table: Table<Row> = Table::embedded(name, text);
    let rows = std::mem::take(&mut table.rows);
    let offered = |row: Row| Offered {
        written: row.written,
        means: row.means,
        why: Cited {
            citation: table.cite(&row.from),
            value: row.why,
        },
    };
    rows.into_iter().map(offered).collect()
}
