//! NEMA configurations: a series sets poles and voltage, the number after the dash the current.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::row::{Face, volts};
use super::{Coupler, Earth, Neutral, Side};
use crate::citation::{Citation, Cited, Confidence};
use crate::tables::{Provenance, Table};

/// A series with the currents it is made for.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    series: String,
    lines: u8,
    neutral: Neutral,
    earth: Earth,
    volts: f64,
    volts_to_neutral: Option<f64>,
    #[serde(default)]
    locking: bool,
    sizes: BTreeMap<Confidence, Vec<u16>>,
    from: Provenance,
}

/// Every configuration, straight and locking.
pub(super) fn couplers() -> Vec<Coupler> {
    let text = include_str!("../data/couplers-nema.yaml");
    let table: Table<Row> = Table::embedded("couplers-nema", text);
    let mut couplers = Vec::new();
    for row in &table.rows {
        let citation = table.cite(&row.from);
        for (&confidence, sizes) in &row.sizes {
            couplers.extend(
                sizes
                    .iter()
                    .map(|&amperes| configuration(row, amperes, confidence, &citation)),
            );
        }
    }
    couplers
}

/// `read` says how the existence of the size reached us, `series` is the citation of the series.
fn configuration(row: &Row, amperes: u16, read: Confidence, series: &Citation) -> Coupler {
    let citation = Citation {
        confidence: read.max(series.confidence),
        ..series.clone()
    };
    let face = Face {
        lines: row.lines,
        neutral: row.neutral,
        earth: row.earth,
        volts: Cited {
            value: volts(row.volts, row.volts_to_neutral, None),
            citation: series.clone(),
        },
        current: Cited {
            value: crate::quantity::amperes(f64::from(amperes)),
            citation: citation.clone(),
        },
        // Two blades alone exist with equal blades too; an earth pin or a third blade fixes the way round.
        polarised: (row.earth == Earth::Contact || row.lines > 1).then_some(true),
        locking: row.locking,
        series: row.series.clone(),
    };
    let short = format!("{}-{amperes}", row.series);
    Coupler {
        aliases: aliases(&short),
        ..face.coupler(format!("NEMA {short}"), citation)
    }
}

/// `NEMA 5-15R`, `NEMA 5-15P`, `5-15R`, `5-15P` and `5-15` for `5-15`; and the same behind `CSA`, for the
/// Canadian standard C22.2 No. 42 has the configurations under the same numbers.
fn aliases(short: &str) -> Vec<String> {
    let mut all = vec![short.to_owned(), format!("CSA {short}")];
    for side in ["P", "R"] {
        all.push(format!("{short}{side}"));
        all.push(format!("NEMA {short}{side}"));
        all.push(format!("CSA {short}{side}"));
    }
    all
}

/// A folded spelling without its last letter, and the half which that letter names.
pub(super) fn parted(folded: &str) -> Option<(&str, Side)> {
    let pins = folded.strip_suffix('P').map(|name| (name, Side::Pins));
    pins.or_else(|| Some((folded.strip_suffix('R')?, Side::Contacts)))
}
