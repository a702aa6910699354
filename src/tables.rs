//! Rating tables as data: every row carries its source and how far it may be trusted.
//!
//! The rows live as YAML in `src/tables/data/`, one file a table, built into the binary. Each row
//! names a source from the head of its file and says how the value reached us; a row that does not
//! is refused when the table is read, which a test does for all of them.

use std::collections::BTreeMap;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};
use smol_str::SmolStr;

use crate::citation::{Citation, Confidence};

pub mod ambient;
pub mod ampacity;
pub(crate) mod approvals;
pub(crate) mod bodies;
pub(crate) mod breaker_ahead;
pub mod breakers;
mod by_size;
pub mod conductors;
pub mod constants;
pub(crate) mod cord_tests;
pub mod cordage;
pub(crate) mod countries;
pub mod couplers;
pub(crate) mod disconnection;
pub(crate) mod earth_conductor;
pub(crate) mod editions;
pub mod grouping;
pub(crate) mod lookup;
pub(crate) mod made_sizes;
pub(crate) mod marks;
pub(crate) mod mating;
pub(crate) mod minimum_section;
mod offered;
pub(crate) mod own;
pub(crate) mod plug_fuse;
pub(crate) mod retention;
pub(crate) mod ring;
pub(crate) mod socket_exceptions;
pub(crate) mod spellings;
pub(crate) mod usual_lengths;
pub mod wiring;
pub mod withstand;
pub mod words;
#[cfg(test)]
mod worked_examples;

/// Which family of rating tables and rules binds at a site.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Practice {
    /// IEC standards and what follows them.
    Iec,
    /// The National Electrical Code (NFPA 70) and UL.
    Nec,
}

/// A standard as the head of a table file names it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// For example `NFPA 70 (NEC)`.
    #[serde(deserialize_with = "for_ever")]
    pub standard: SmolStr,
    /// Clause or table.
    #[serde(deserialize_with = "for_ever")]
    pub clause: SmolStr,
    /// Edition read, or believed to hold.
    #[serde(deserialize_with = "for_ever")]
    pub edition: SmolStr,
}

/// Text that lives as long as the tables, which is for ever: citations of it are copied, not counted.
fn for_ever<'de, D: Deserializer<'de>>(deserializer: D) -> Result<SmolStr, D::Error> {
    String::deserialize(deserializer).map(|text| SmolStr::new_static(kept(text)))
}

/// A text of a table as one that lives as long.
fn kept(text: String) -> &'static str {
    text.leak()
}

/// What every row carries besides its values.
#[derive(Clone, Debug, Deserialize)]
pub struct Provenance {
    /// A key of the file's `sources`.
    pub source: String,
    /// How the row's values reached us.
    pub confidence: Confidence,
}

/// One table file: its sources and its rows.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Table<Row> {
    sources: BTreeMap<String, Source>,
    /// The rows, in the order of the file.
    pub rows: Vec<Row>,
}

impl<Row: DeserializeOwned> Table<Row> {
    /// Reads a table that is part of the binary.
    ///
    /// # Panics
    /// If the embedded text is not such a table: a fault of the build, met by the first test that runs.
    pub fn embedded(name: &str, text: &str) -> Self {
        match serde_yaml::from_str(text) {
            Ok(table) => table,
            Err(error) => panic!("embedded table {name}: {error}"),
        }
    }
}

impl<Row> Table<Row> {
    /// The full citation of a row.
    ///
    /// # Panics
    /// If the row names a source that the head of its file lacks; a test walks every row.
    pub fn cite(&self, provenance: &Provenance) -> Citation {
        let Some(source) = self.sources.get(&provenance.source) else {
            panic!("table row names the unknown source {}", provenance.source);
        };
        Citation {
            standard: source.standard.clone(),
            clause: source.clause.clone(),
            edition: source.edition.clone(),
            confidence: provenance.confidence,
        }
    }
}
