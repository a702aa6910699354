//! How the country of a site is read.

use std::fmt;

use serde_json::{Value, json};

use crate::tables::countries;
use crate::yaml::NodeId;

use super::decode::{Decode, Reader};
use super::schema;
use super::value::Name;

/// The code of a country that the tables know by what is written; else what is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountryCode(pub Name);

impl Decode for CountryCode {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let written = Name::decode(reader, node)?;
        let known = countries::meant(&written);
        Some(Self(
            known.map_or(written, |country| country.code.as_str().into()),
        ))
    }

    fn schema() -> Value {
        let mut schema = schema::defined("name");
        schema["examples"] = json!(["GB", "US", "Australia"]);
        schema
    }
}

impl fmt::Display for CountryCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}
