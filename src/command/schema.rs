//! `cordwright schema`: the format of the definitions, for editors.

use serde_json::{Value, json};

use super::exit::Exit;
use crate::failure::Failure;
use crate::host;
use crate::model;
use crate::rules::RULES;

/// Write the format of the definitions as a JSON Schema, for editors
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Words {}

const EXAMPLES: &str = "\
The schema (draft-07) describes every key with its meaning, unit and examples.
Editors that know JSON Schema complete, explain and check while you type. What
the things of a site mean together only \"cordwright check\" can judge.

Example:
  cordwright schema > cordwright.schema.json";

/// Writes the schema.
pub(super) fn run() -> Result<Exit, Failure> {
    let schema = with_rules(model::schema());
    let text = format!("{schema:#}\n");
    host::to_standard_output(text.as_bytes())?;
    Ok(Exit::Clean)
}

/// The places in the schema that want the name of a rule.
const WANT_A_RULE: [&str; 2] = [
    "/properties/site/properties/levels/propertyNames",
    "/properties/departures/items/properties/rule/allOf/0",
];

/// The schema with the names of the rules.
fn with_rules(mut schema: Value) -> Value {
    let names = RULES
        .iter()
        .flat_map(|rule| std::iter::once(&rule.name).chain(rule.former_names));
    let names: Vec<&str> = names.copied().collect();
    schema["definitions"]["rule"] = json!({"enum": names});
    for place in WANT_A_RULE {
        if let Some(place) = schema.pointer_mut(place) {
            *place = json!({"$ref": "#/definitions/rule"});
        }
    }
    schema
}
