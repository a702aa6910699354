//! What the format says of the place that a cursor is at: the keys that may stand there, and what a
//! value may be. It comes from the same tables that the reading goes by.

use std::sync::LazyLock;

use serde_json::Value;

use crate::model;

static SCHEMA: LazyLock<Value> = LazyLock::new(model::schema);

/// One step from the root of a file to a place in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Level {
    /// Into the value of this key.
    Key(String),
    /// Into an item of a list.
    Item,
}

/// A key that may stand at a place.
#[derive(Clone, Copy, Debug)]
pub struct KnownKey<'a> {
    /// The key.
    pub name: &'a str,
    /// Its meaning.
    pub doc: &'a str,
    /// Whether the thing must have it.
    pub is_required: bool,
}

/// All that the format allows at the end of `path`; several forms where a short one is allowed.
pub fn forms(path: &[Level]) -> Vec<&'static Value> {
    let mut at = vec![&*SCHEMA];
    for level in path {
        let next = at
            .into_iter()
            .flat_map(unfold)
            .filter_map(|form| match level {
                Level::Item => form.get("items"),
                Level::Key(key) => form
                    .get("properties")
                    .and_then(|keys| keys.get(key))
                    .or_else(|| {
                        form.get("additionalProperties")
                            .filter(|any| any.is_object())
                    }),
            });
        at = next.collect();
    }
    at.into_iter().flat_map(unfold).collect()
}

fn unfold(form: &'static Value) -> Vec<&'static Value> {
    match form.get("anyOf").and_then(Value::as_array) {
        Some(forms) => forms.iter().flat_map(unfold).collect(),
        None => vec![form],
    }
}

/// The keys that may stand in the mapping at the end of `path`.
pub fn keys(path: &[Level]) -> Vec<KnownKey<'static>> {
    let of_form = |form: &'static Value| {
        let always = form.get("required");
        let lists = [always, form.pointer("/then/required")];
        let lists = lists.map(|list| list.and_then(Value::as_array));
        let is_required =
            move |name: &str| lists.into_iter().flatten().flatten().any(|key| key == name);
        let properties = form.get("properties").and_then(Value::as_object);
        properties
            .into_iter()
            .flatten()
            .map(move |(name, schema)| KnownKey {
                name,
                doc: description(schema),
                is_required: is_required(name),
            })
    };
    forms(path).into_iter().flat_map(of_form).collect()
}

/// The words that may stand as the value at the end of `path`.
pub fn words(path: &[Level]) -> Vec<&'static str> {
    let forms = forms(path).into_iter();
    let lists = forms.filter_map(|form| form.get("enum").and_then(Value::as_array));
    lists.flatten().filter_map(Value::as_str).collect()
}

/// Examples of values at the end of `path`.
pub fn examples(path: &[Level]) -> Vec<&'static str> {
    let forms = forms(path).into_iter();
    let lists = forms.filter_map(|form| form.get("examples").and_then(Value::as_array));
    lists.flatten().filter_map(Value::as_str).collect()
}

/// The meaning of the key at the end of `path`.
pub fn doc(path: &[Level]) -> Option<&'static str> {
    let (Level::Key(last), above) = path.split_last()? else {
        return None;
    };
    keys(above)
        .into_iter()
        .find(|key| key.name == last)
        .map(|key| key.doc)
}

fn description(schema: &'static Value) -> &'static str {
    schema
        .get("description")
        .and_then(Value::as_str)
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(text: &str) -> Vec<Level> {
        let level = |part: &str| match part {
            "-" => Level::Item,
            key => Level::Key(key.to_owned()),
        };
        text.split(' ').map(level).collect()
    }

    #[test]
    fn keys_come_from_the_format() {
        let names = |text| {
            keys(&path(text))
                .iter()
                .map(|key| key.name)
                .collect::<Vec<_>>()
        };
        assert!(names("circuits A-1").contains(&"breaker"));
        assert!(names("circuits A-1 breaker").contains(&"curve"));
        assert!(names("departures -").contains(&"agreed-by"));
        assert_eq!(names("circuits A-1 from"), [""; 0]);
        let from = keys(&path("cords W-1"));
        assert!(from.iter().any(|key| key.name == "from" && key.is_required));
    }

    #[test]
    fn values_and_meanings_too() {
        assert!(words(&path("zones hall vibration")).contains(&"seismic"));
        assert!(examples(&path("cord-types c plug")).contains(&"C13"));
        assert!(examples(&path("pdu-models m banks b outlets 1-6")).contains(&"C13"));
        assert!(
            doc(&path("cord-types c cordage"))
                .unwrap()
                .contains("H05VV-F")
        );
    }
}
