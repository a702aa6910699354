//! Locking couplers of North America that are no size of a NEMA series: each has a name of its own.

use serde::Deserialize;
use uom::si::electric_current::ampere;

use super::row::{blank, volts};
use super::{Coupler, Earth, Family, Key, Neutral, Poles, Rated, Role};
use crate::citation::Cited;
use crate::quantity::Current;
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
    let rated = Rated {
        current: Some(Cited {
            value: Current::new::<ampere>(row.amperes),
            citation: citation.clone(),
        }),
        only_where_marked: None,
    };
    Coupler {
        poles: Poles {
            lines: row.lines,
            neutral: row.neutral,
        },
        earth: row.earth,
        voltage: Some(Cited {
            value: volts(row.volts, row.volts_to_neutral, None),
            citation: citation.clone(),
        }),
        polarised: Some(true),
        locking: true,
        // Each is keyed against all others and against every NEMA series.
        key: Key::Nema {
            series: row.name.clone(),
        },
        iec: rated.clone(),
        nec: rated,
        aliases: row.aliases.clone(),
        ..blank(row.name.clone(), Family::Nema, Role::Either, citation)
    }
}
