//! Locking couplers of North America that are no size of a NEMA series: each has a name of its own.

use serde::Deserialize;

use super::row::{Face, volts};
use super::{Coupler, Earth, Neutral};
use crate::citation::Cited;
use crate::quantity::amperes;
use crate::tables::{Provenance, Table};

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    name: String,
    aliases: Vec<String>,
    lines: u8,
    neutral: Neutral,
    earth: Earth,
    volts: f64,
    volts_to_neutral: Option<f64>,
    amperes: f64,
    from: Provenance,
}

/// Every coupler of the table.
pub(super) fn couplers() -> Vec<Coupler> {
    let text = include_str!("../data/couplers-locking.yaml");
    let table: Table<Row> = Table::embedded("couplers-locking", text);
    table.rows.iter().map(|row| coupler(&table, row)).collect()
}

fn coupler(table: &Table<Row>, row: &Row) -> Coupler {
    let citation = table.cite(&row.from);
    let face = Face {
        lines: row.lines,
        neutral: row.neutral,
        earth: row.earth,
        volts: Cited {
            value: volts(row.volts, row.volts_to_neutral, None),
            citation: citation.clone(),
        },
        current: Cited {
            value: amperes(row.amperes),
            citation: citation.clone(),
        },
        polarised: Some(true),
        locking: true,
        // Each is keyed against all others and against every NEMA series.
        series: row.name.clone(),
    };
    Coupler {
        aliases: row.aliases.clone(),
        ..face.coupler(row.name.clone(), citation)
    }
}
