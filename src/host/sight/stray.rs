//! Things that were taken out of a site one by one, and stand where nothing reads them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rustc_hash::FxHashMap;

use super::{Ignored, settle, unread_files};
use crate::model::circuits::{Circuit, Supply};
use crate::model::cords::Cord;
use crate::model::decode::Record;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::value::Name;

/// A thing that a site had and has not any more.
#[derive(Clone, Copy, Debug)]
pub struct Gone<'a> {
    /// What it is called.
    pub name: &'a Name,
    /// The file that defined it, below the root.
    pub path: &'a str,
}

/// Where things lie that came out of one file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stray {
    /// The file that defined them.
    pub path: String,
    /// The file that defines them now, and that nothing reads.
    pub place: String,
    /// What they are called.
    pub things: Vec<Name>,
}

/// Of things that are `gone`, those that a file below the root still defines that is not among those
/// `read`. What lies in a site of its own is that site's, and what is `ignored` nobody else has. A
/// file that merely names a thing, as a list of what was changed does, defines nothing.
pub fn strays(
    root: &Path,
    gone: &[Gone<'_>],
    read: &BTreeSet<&str>,
    ignored: &Ignored,
) -> Vec<Stray> {
    if gone.is_empty() {
        return Vec::new();
    }
    let root = settle(root);
    let mut wanted: FxHashMap<&str, Vec<&Gone<'_>>> = FxHashMap::default();
    for thing in gone {
        wanted.entry(thing.name.as_str()).or_default().push(thing);
    }
    let (mut walk, sites) = (ignored.within(&root), ignored.within(&root));
    let own = unread_files(&root, read, &mut walk).filter(|(place, _)| {
        let folder = Path::new(place).parent().unwrap_or(Path::new(""));
        !sites.in_nested_site(&root, folder)
    });
    let mut strays = Vec::new();
    for (place, bytes) in own {
        let mut found: BTreeMap<&str, BTreeSet<&Name>> = BTreeMap::new();
        for name in defined(&bytes) {
            for thing in wanted.remove(name).into_iter().flatten() {
                found.entry(thing.path).or_default().insert(thing.name);
            }
        }
        strays.extend(found.into_iter().map(|(path, things)| Stray {
            path: path.to_owned(),
            place: place.clone(),
            things: things.into_iter().cloned().collect(),
        }));
    }
    strays
}

/// Names that a text gives keys of ours, whatever is around them: `W-1: {type: …`, or with the keys on
/// the next line, or behind signs of a remark.
fn defined(bytes: &[u8]) -> impl Iterator<Item = &str> {
    let text = std::str::from_utf8(bytes).unwrap_or("");
    let parts = text.split(|c: char| c.is_whitespace() || "{},[]".contains(c));
    let parts = parts.filter(|part| !part.trim_start_matches(['#', '/', '>', '|']).is_empty());
    let next = parts.clone().skip(1);
    parts.zip(next).filter_map(|(name, key)| {
        let key = bare(key)?;
        let is_ours = key == "<<" || NAMES.iter().any(|names| names.contains(&key));
        bare(name).filter(|_| is_ours)
    })
}

/// The keys of what carries load.
const NAMES: [&[&str]; 5] = [
    Supply::NAMES,
    Circuit::NAMES,
    Pdu::NAMES,
    Device::NAMES,
    Cord::NAMES,
];

/// A key without its colon, its quotes and the sign of a remark.
fn bare(part: &str) -> Option<&str> {
    let key = part.strip_suffix(':')?;
    Some(key.trim_start_matches('#').trim_matches(['"', '\'']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_keys_of_ours_is_defined_and_what_is_named_is_not() {
        let has = |text: &str| defined(text.as_bytes()).any(|name| name == "W-1");
        for text in [
            "W-1: {type: a, from: b/1}",
            "cords:\n  W-1:\n    type: a\n",
            "#cords:\n# W-1:\n#   type: a\n",
            "#W-1: {type: a}",
            "{\"W-1\": {\"type\": \"a\"}}",
            "W-1: {<<: *a}",
        ] {
            assert!(has(text), "{text}");
        }
        for text in [
            "- W-1: taken out",
            "W-1:\nW-2: gone",
            "W-1",
            "from: W-1: no",
        ] {
            assert!(!has(text), "{text}");
        }
    }
}
