//! The format as a JSON Schema (draft-07), made from the same keys and types that read it.
//!
//! It describes the writing: which keys there are, which must be there, how values look. What things
//! mean together is for the rules. It refuses nothing that reading takes in its usual spelling.

use serde_json::{Map, Value, json};

use crate::quantity::{Quantity, form};
use crate::tables::own::PREFIX;
use crate::tables::{cordage, couplers, spellings};

use super::Sections;
use super::decode::remarks::{NOTE, OWN};
use super::decode::{Key, Record};

/// JSON Schema of a file of definitions.
///
/// The names of the rules are not known here; the two places that want one take any name.
pub fn schema() -> Value {
    let mut schema = record::<Sections>();
    schema["$schema"] = "http://json-schema.org/draft-07/schema#".into();
    schema["title"] = "Definitions of a site".into();
    schema["definitions"] = json!({
        "name": name(),
        "yes-or-no": {"enum": [true, false, "yes", "no", "Yes", "No", "True", "False"]},
        "coupler": or_own(listed(&couplers::names(), &couplers::pattern())),
        "cordage": or_own(listed(&cordages(), &cordage::pattern())),
    });
    demand_reason(&mut schema);
    schema
}

/// Something of the tables, or of the site's own by its name.
fn or_own(mut listed: Value) -> Value {
    if let Some(Value::Array(forms)) = listed.get_mut("anyOf") {
        forms.push(own());
    }
    listed
}

/// JSON Schema of the name of a part of the site's own.
pub fn own() -> Value {
    json!({"type": "string", "pattern": format!("^{PREFIX}.")})
}

/// Where the level of a rule stands.
const LEVEL: &str = "/properties/site/properties/levels/additionalProperties/anyOf";

/// A rule is not switched off without a reason.
fn demand_reason(schema: &mut Value) {
    if let Some(Value::Array(forms)) = schema.pointer_mut(LEVEL) {
        for form in forms {
            if let Some(Value::Array(words)) = form.get_mut("enum") {
                words.retain(|word| word != "off");
            } else {
                form["if"] = json!({"properties": {"level": {"const": "off"}}});
                // Strict validators want a key named before it is demanded.
                form["then"] = json!({"properties": {"reason": true}, "required": ["reason"]});
            }
        }
    }
}

fn cordages() -> Vec<&'static str> {
    let all = cordage::all().iter();
    all.map(|cordage| cordage.name.as_str()).collect()
}

/// JSON Schema of a record: all its keys, no others, those that it must have, and its short form.
pub fn record<T: Record>() -> Value {
    let keys = T::KEYS.iter();
    let properties: Map<String, Value> =
        keys.map(|key| (key.name.into(), described(key))).collect();
    let required: Vec<&str> = required(T::KEYS).collect();
    let mut schema = json!({
        "type": ["object", "null"],
        "title": T::WHAT,
        "description": plain(T::DOC),
        "properties": properties,
        "patternProperties": {format!("^{OWN}"): {"description": "A key of your own: kept, and never judged."}},
        "additionalProperties": false,
    });
    if !T::NAMES.contains(&NOTE) {
        schema["properties"][NOTE] = note();
    }
    if !required.is_empty() {
        schema["type"] = "object".into();
        schema["required"] = json!(required);
    }
    demand_unless_instead(&mut schema, T::KEYS);
    match T::SHORT_FOR.and_then(|short| T::KEYS.iter().find(|key| key.name == short)) {
        Some(short) => json!({"anyOf": [described(short), schema]}),
        None => schema,
    }
}

fn note() -> Value {
    json!({
        "description": "Whatever is worth noting of it: stands in the schedules, and is never judged.",
        "anyOf": [{"type": "string"}, {"type": "number"}, {"type": "boolean"}, {"type": "null"}],
    })
}

fn required(keys: &'static [Key]) -> impl Iterator<Item = &'static str> {
    let always = keys
        .iter()
        .filter(|key| key.required && !key.told_later && key.instead.is_empty());
    always.map(|key| key.name)
}

/// Keys that must be there unless another one stands in their stead: those with the same others together.
fn demand_unless_instead(schema: &mut Value, keys: &'static [Key]) {
    let mut groups: Vec<(&[&str], Vec<&str>)> = Vec::new();
    for key in keys
        .iter()
        .filter(|key| key.required && !key.instead.is_empty())
    {
        match groups
            .iter_mut()
            .find(|(instead, _)| *instead == key.instead)
        {
            Some((_, names)) => names.push(key.name),
            None => groups.push((key.instead, vec![key.name])),
        }
    }
    let demands: Vec<Value> = groups
        .iter()
        .map(|(instead, names)| demand_unless(instead, names))
        .collect();
    if !demands.is_empty() {
        schema["allOf"] = demands.into();
    }
}

fn demand_unless(instead: &[&str], names: &[&str]) -> Value {
    let each = |names: &[&str], value: bool| -> Map<String, Value> {
        let pairs = names.iter().map(|name| ((*name).into(), value.into()));
        pairs.collect()
    };
    json!({
        "if": {"properties": each(instead, false)},
        "then": {"properties": each(names, true), "required": names},
    })
}

/// JSON Schema of things under their names.
pub fn named(thing: Value) -> Value {
    json!({
        "type": ["object", "null"],
        "propertyNames": {"minLength": 1},
        "additionalProperties": thing,
    })
}

/// JSON Schema of a quantity in its usual spellings.
pub fn quantity<Q: Quantity>() -> Value {
    let form = Q::form();
    json!({
        "type": "string",
        "description": form.words,
        "pattern": form.pattern,
        "examples": form.examples,
    })
}

/// JSON Schema of a closed set of words, each with its meaning.
pub fn words(words: &[(&str, &str)]) -> Value {
    let each = words
        .iter()
        .map(|(word, doc)| format!("{word}: {}", plain(doc)));
    let lines: Vec<String> = each.collect();
    let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    json!({"enum": words, "description": lines.join("\n")})
}

/// JSON Schema of words of which capitals and small letters are read alike.
pub fn any_case(words: &[&str]) -> Value {
    listed(words, &spellings::spaced(words.iter()))
}

/// JSON Schema of words to offer, and of their other spellings.
pub fn listed(words: &[&str], pattern: &str) -> Value {
    json!({"anyOf": [{"enum": words}, {"type": "string", "pattern": pattern}]})
}

/// JSON Schema of something that is defined once and wanted in many places.
pub fn defined(definition: &str) -> Value {
    // Beside a bare `$ref` draft-07 heeds no description.
    json!({"allOf": [{"$ref": format!("#/definitions/{definition}")}]})
}

/// Other readers of YAML make numbers and truth values of names without quotes; here they are names.
fn name() -> Value {
    // A type each: strict validators take no list of them.
    json!({"anyOf": [
        {"type": "string", "minLength": 1},
        {"type": "number"},
        {"type": "boolean"},
    ]})
}

/// The days of the calendar as a pattern, leap years and all. `format: date` would say no more, many
/// validators do not look at it, and strict ones stop at it.
pub fn days() -> String {
    let (year, century) = (
        "[0-9]{2}(?:0[48]|[2468][048]|[13579][26])",
        "(?:[02468][048]|[13579][26])00",
    );
    let long = "(?:0[13578]|1[02])-(?:0[1-9]|[12][0-9]|3[01])";
    let short = "(?:0[469]|11)-(?:0[1-9]|[12][0-9]|30)";
    let february = "02-(?:0[1-9]|1[0-9]|2[0-8])";
    format!("^(?:[0-9]{{4}}-(?:{long}|{short}|{february})|(?:{year}|{century})-02-29)$")
}

/// The schema of a key's value with what the key means.
fn described(key: &Key) -> Value {
    let mut schema = (key.schema)();
    if key.above_zero {
        refuse_zero(&mut schema);
    }
    if key.required {
        refuse_nothing(&mut schema);
    }
    let of_value = schema.get("description").and_then(Value::as_str);
    // What a group of keys is, its own key has said.
    let of_value = of_value.filter(|_| schema.get("properties").is_none());
    let description = match of_value {
        Some(of_value) => format!("{}\n{of_value}", plain(key.doc)),
        None => plain(key.doc),
    };
    schema["description"] = description.into();
    schema
}

/// Zero would pass for a real value in every sum.
fn refuse_zero(schema: &mut Value) {
    let pattern = schema.get("pattern").and_then(Value::as_str);
    if let Some(pattern) = pattern.map(form::above_zero) {
        schema["pattern"] = pattern.into();
    }
    if schema.get("minimum").is_some() {
        schema["minimum"] = 1.into();
    }
    if let Some(Value::Array(choices)) = schema.get_mut("anyOf") {
        choices.iter_mut().for_each(refuse_zero);
    }
}

/// What must be there cannot be empty.
fn refuse_nothing(schema: &mut Value) {
    let Some(object) = schema.as_object_mut() else {
        return;
    };
    if let Some(Value::Array(types)) = object.get_mut("type") {
        types.retain(|kind| kind != "null");
    }
    let least = match object.get("type").map(Value::to_string).as_deref() {
        Some(r#""array""#) => Some("minItems"),
        Some(r#"["object"]"#) => Some("minProperties"),
        _ => None,
    };
    object.extend(least.map(|least| (least.to_owned(), json!(1))));
    if let Some(Value::Array(choices)) = object.get_mut("anyOf") {
        choices.iter_mut().for_each(refuse_nothing);
    }
}

/// A comment of the code as running text.
fn plain(doc: &str) -> String {
    doc.split_whitespace().collect::<Vec<_>>().join(" ")
}
