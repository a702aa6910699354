//! Outlets that take plugs of two faces.

use serde::Deserialize;

use super::Coupler;
use crate::tables::{Provenance, Table};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    name: String,
    aliases: Vec<String>,
    accepts: Vec<String>,
    /// The sheet whose ratings stand until a plug is inserted.
    like: String,
    from: Provenance,
}

/// The dual outlets, each with the lower of its ratings.
///
/// # Panics
/// If a row names a sheet that is not among `sheets`: a fault of the build.
pub(super) fn couplers(sheets: &[Coupler]) -> Vec<Coupler> {
    let text = include_str!("../data/couplers-dual.yaml");
    let table: Table<Row> = Table::embedded("couplers-dual", text);
    let dual = |row: &Row| {
        let Some(model) = sheets.iter().find(|sheet| sheet.name == row.like) else {
            panic!("dual outlet {} is like the unknown {}", row.name, row.like);
        };
        Coupler {
            name: row.name.clone(),
            aliases: row.aliases.clone(),
            accepts: row.accepts.clone(),
            citation: table.cite(&row.from),
            ..model.clone()
        }
    };
    table.rows.iter().map(dual).collect()
}
