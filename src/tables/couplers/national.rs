//! National plugs and sockets.

use serde::Deserialize;

use super::row::{Amperes, TWO_POLES, blank, rated, volts};
use super::{Coupler, Earth, Family, Neutral, Poles, Role};
use crate::citation::Cited;
use crate::tables::{Provenance, Table};

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    name: String,
    #[serde(default)]
    aliases: Vec<String>,
    #[serde(default)]
    accepts: Vec<String>,
    role: Role,
    lines: Option<u8>,
    neutral: Option<Neutral>,
    earth: Earth,
    polarised: Option<bool>,
    #[serde(default)]
    fused: bool,
    #[serde(default)]
    withdrawn: bool,
    volts: f64,
    volts_to_neutral: Option<f64>,
    rating: Amperes,
    marked: Option<Amperes>,
    /// What the plug bears, where that is not what the socket bears.
    plug: Option<Amperes>,
    /// The coupler whose shape it has.
    face: Option<String>,
    from: Provenance,
}

/// Every national plug and socket of the table.
pub(super) fn couplers() -> Vec<Coupler> {
    let text = include_str!("../data/couplers-national.yaml");
    let table: Table<Row> = Table::embedded("couplers-national", text);
    table.rows.iter().map(|row| coupler(&table, row)).collect()
}

fn coupler(table: &Table<Row>, row: &Row) -> Coupler {
    let citation = table.cite(&row.from);
    // The rating of a national coupler does not change with the wiring practice around it.
    let rating = rated(table, Some(&row.rating), row.marked.as_ref());
    Coupler {
        poles: Poles {
            lines: row.lines.unwrap_or(TWO_POLES.lines),
            neutral: row.neutral.unwrap_or(TWO_POLES.neutral),
        },
        earth: row.earth,
        voltage: Some(Cited {
            value: volts(row.volts, row.volts_to_neutral, None),
            citation: citation.clone(),
        }),
        polarised: row.polarised,
        fused: row.fused,
        withdrawn: row.withdrawn,
        accepts: row.accepts.clone(),
        iec: rating.clone(),
        nec: rating,
        plug: row
            .plug
            .as_ref()
            .map(|figure| rated(table, Some(figure), None)),
        face: row.face.clone(),
        aliases: row.aliases.clone(),
        ..blank(row.name.clone(), Family::National, row.role, citation)
    }
}
