//! Names that mean no coupler for sure, and what may be meant by them.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{CATALOGUE, spelling};
use crate::citation::Cited;
use crate::tables::{Provenance, Table};

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
    /// What it begins with, folded.
    written: Vec<String>,
    means: Vec<String>,
    /// Why it is not read, and where that comes from.
    pub why: Cited<String>,
}

static OFFERED: LazyLock<Vec<Offered>> = LazyLock::new(|| {
    let text = include_str!("../data/couplers-offered.yaml");
    let mut table: Table<Row> = Table::embedded("couplers-offered", text);
    let rows = std::mem::take(&mut table.rows);
    let offered = |row: Row| Offered {
        written: row
            .written
            .iter()
            .map(|text| spelling::folded(text))
            .collect(),
        means: row.means,
        why: Cited {
            citation: table.cite(&row.from),
            value: row.why,
        },
    };
    rows.into_iter().map(offered).collect()
});

/// What is known of a name that no coupler goes by, and the couplers that may be meant.
pub(crate) fn offered(text: &str) -> Option<(&'static Offered, Vec<&'static str>)> {
    let folded = spelling::folded(text);
    let behind = |row: &'static Offered| {
        let starts = row.written.iter();
        let rest = |start: &String| {
            // Behind a number may stand amperes; behind a letter stands nothing.
            let is_number = start.ends_with(|letter: char| letter.is_ascii_digit());
            let rest = spelling::behind(&folded, start)?;
            (is_number || rest.is_empty()).then_some(rest)
        };
        let rests = starts.filter_map(rest);
        rests.min_by_key(|rest| rest.len()).map(|rest| (row, rest))
    };
    let rows = OFFERED.iter().filter_map(behind);
    let (row, rest) = rows.min_by_key(|(_, rest)| rest.len())?;
    let mut names: Vec<&str> = row
        .means
        .iter()
        .flat_map(|name| named(name, rest))
        .collect();
    names.dedup();
    Some((row, names))
}

fn named(name: &str, rest: &str) -> Vec<&'static str> {
    let whole = format!("{name} {}", rest.trim_start_matches('-'));
    let found = CATALOGUE.find(&whole).or_else(|| CATALOGUE.find(name));
    let found = match found {
        Some(coupler) => vec![coupler],
        None => CATALOGUE.sleeves(&whole),
    };
    found.iter().map(|coupler| coupler.name.as_str()).collect()
}
