//! How the edition of the wiring rules that binds at a site is read.

use std::fmt;

use serde_json::{Value, json};

use crate::spelling;
use crate::tables::editions::{self, Edition};
use crate::yaml::NodeId;

use super::decode::{Decode, Reader};
use super::schema;
use super::text::{clip, unknown_word};
use super::value::Name;

/// An edition that the tables know, or another one.
#[derive(Clone, Debug)]
pub enum EditionRef {
    /// One of the tables, and the name that is written.
    Listed(&'static Edition, Name),
    /// One of which nothing is known here.
    Other(Name),
}

impl EditionRef {
    /// What the tables have of it.
    pub fn listed(&self) -> Option<&'static Edition> {
        match self {
            Self::Listed(edition, _) => Some(edition),
            Self::Other(_) => None,
        }
    }
}

impl Decode for EditionRef {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let written = Name::decode(reader, node)?;
        if let Some(edition) = editions::find(&written) {
            return Some(Self::Listed(edition, written));
        }
        let names: Vec<&str> = editions::all().flat_map(Edition::names).collect();
        // What names no year is a set of rules, and no edition of it.
        let has_year = ["19", "20"].iter().any(|century| {
            let mut years = written.match_indices(century);
            years.any(|(at, _)| {
                written[at..]
                    .chars()
                    .take_while(char::is_ascii_digit)
                    .count()
                    >= 4
            })
        });
        let near = spelling::nearest(&written, names.iter().copied());
        if !has_year || near.is_some_and(|near| near.is_sure) {
            unknown_word(reader, node, "an edition of the wiring rules", &names);
            return None;
        }
        Some(Self::Other(written))
    }

    fn schema() -> Value {
        let mut schema = schema::defined("name");
        schema["examples"] = json!([
            "BS 7671:2018+A2:2022",
            "IEC 60364-4-41:2005+A1:2017",
            "NEC 2023"
        ]);
        schema
    }
}

impl fmt::Display for EditionRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Listed(_, name) | Self::Other(name) => f.write_str(&clip(name)),
        }
    }
}
