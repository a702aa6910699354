//! `cordwright schema`: the format of the definitions, for editors.

use clap::ValueEnum;
use serde_json::{Value, json};

use super::exit::Exit;
use crate::failure::Failure;
use crate::host;
use crate::ink::{Json, Written};
use crate::model;
use crate::report;
use crate::rules::RULES;

/// Write the definition format as a JSON Schema
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// definitions (the default) or the JSON report
    #[arg(long, value_enum, value_name = "WHAT", default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    of: Of,
}

/// What a schema is wanted of.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum Of {
    #[default]
    Definitions,
    Report,
}

const EXAMPLES: &str = "\
The schema (draft-07) describes every key with its meaning, unit and examples.
Editors that know JSON Schema complete, explain and check while you type. What
the things of a site mean together only \"cordwright check\" can judge.

Examples:
  cordwright schema > cordwright.schema.json
  cordwright schema --of report > report.schema.json";

/// Writes the schema.
pub(super) fn run(args: &Args) -> Result<Exit, Failure> {
    let mut text = Written::<Json>::new();
    match args.of {
        Of::Definitions => text.push(&Written::document(&with_rules(model::schema()))),
        Of::Report => text.ours(report::schema()),
    };
    host::to_standard_output(&text.into())?;
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
