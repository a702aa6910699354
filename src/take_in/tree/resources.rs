//! The resources of a saved tree, by their identities.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use crate::take_in::remark::{At, Remark};

/// Resources by what they call themselves; paths of files do not count.
#[derive(Debug, Default)]
pub(super) struct Resources(BTreeMap<String, Value>);

impl Resources {
    /// The resources among some files; what is none is told.
    pub fn read(files: &[(String, Vec<u8>)]) -> (Self, Vec<Remark>) {
        let (mut all, mut remarks) = (BTreeMap::new(), Vec::new());
        for (path, text) in files {
            let mut told = |what: String, advice: &str| {
                remarks.push(Remark::new(At::Resource(path.clone()), what, advice));
            };
            let text = text.strip_prefix("\u{feff}".as_bytes()).unwrap_or(text);
            let value: Value = match serde_json::from_slice(text) {
                Ok(value) => value,
                Err(error) => {
                    told(
                        format!("it is no JSON that can be read: {error}"),
                        "Save it again.",
                    );
                    continue;
                }
            };
            let Some(id) = id_of(&value) else {
                told(
                    "it has no \"@odata.id\", so nothing can lead to it".to_owned(),
                    "Save it as it was sent.",
                );
                continue;
            };
            if all.contains_key(&id) {
                told(
                    format!("`{id}` stands in another file already, which is taken"),
                    "Take one of the two out.",
                );
                continue;
            }
            all.insert(id, value);
        }
        (Self(all), remarks)
    }

    /// The resources of a type, whatever its version, in the order of their identities.
    pub fn of_type<'a>(&'a self, wanted: &str) -> impl Iterator<Item = (&'a str, &'a Value)> {
        let all = self.0.iter().filter(move |(_, body)| {
            let kind = body["@odata.type"]
                .as_str()
                .and_then(|kind| kind.strip_prefix('#'));
            kind.and_then(|kind| kind.split('.').next()) == Some(wanted)
        });
        all.map(|(id, body)| (id.as_str(), body))
    }

    /// What a resource has in a collection, in its order; what is not among the files is told.
    pub fn members(
        &self,
        owner: &str,
        body: &Value,
        key: &str,
        remarks: &mut Vec<Remark>,
    ) -> Vec<(&str, &Value)> {
        let mut told = |what: String| {
            let advice = "Save the whole tree, or write by hand what is missing.";
            remarks.push(Remark::new(At::Resource(owner.to_owned()), what, advice));
        };
        let Some(id) = id_of(&body[key]) else {
            return Vec::new();
        };
        let Some((_, collection)) = self.0.get_key_value(&id) else {
            told(format!(
                "its {key} are said to be in `{id}`, which is not among the files"
            ));
            return Vec::new();
        };
        let listed: Vec<String> = ids(&collection["Members"]);
        let count = collection["Members@odata.count"].as_u64();
        let is_cut = count.is_some_and(|count| count != listed.len() as u64);
        if is_cut || !collection["Members@odata.nextLink"].is_null() {
            told(format!(
                "`{id}` does not list all of its {key}: only {} are taken",
                listed.len()
            ));
        }
        let mut members = Vec::new();
        for member in listed {
            match self.0.get_key_value(&member) {
                Some((id, body)) => members.push((id.as_str(), body)),
                None => told(format!("`{member}` of its {key} is not among the files")),
            }
        }
        members
    }
}

/// The identity of a resource, or the one that a link leads to.
pub(super) fn id_of(value: &Value) -> Option<String> {
    let id = value["@odata.id"].as_str()?.trim_end_matches('/');
    (!id.is_empty()).then(|| id.to_owned())
}

/// The identities in a list of links, each once.
pub(super) fn ids(links: &Value) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let links = links.as_array().into_iter().flatten();
    links
        .filter_map(id_of)
        .filter(|id| seen.insert(id.clone()))
        .collect()
}

/// A text that says something, without the blanks around it.
pub(super) fn text<'a>(body: &'a Value, key: &str) -> Option<&'a str> {
    body[key]
        .as_str()
        .map(str::trim)
        .filter(|text| !text.is_empty())
}
