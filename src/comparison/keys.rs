//! Keys of the site, its zones and models that read otherwise than before a change.

use std::collections::BTreeMap;

use crate::source::{FileId, Source};
use crate::yaml::{Kind, Limits, NodeId, Tree};

/// Sections whose keys bear on many things at once.
const WATCHED: [&str; 9] = [
    "site",
    "zones",
    "pdu-models",
    "device-models",
    "coupler-types",
    "cordage-types",
    "latch-systems",
    "cord-makes",
    "cord-types",
];

/// A key that reads otherwise than before.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ChangedKey {
    /// The keys that lead to it, with points between: `zones.pump-house.ambient`.
    pub key: String,
    /// How it read; `None` where it was not there.
    pub before: Option<String>,
    /// How it reads; `None` where it is not there any more.
    pub now: Option<String>,
}

/// The keys of the watched sections that read otherwise, sorted. Files that are the same byte for
/// byte need not be given.
pub fn changed_keys<'a>(
    before: impl IntoIterator<Item = &'a Source>,
    now: impl IntoIterator<Item = &'a Source>,
) -> Vec<ChangedKey> {
    let (mut before, now) = (leaves(before), leaves(now));
    let mut changed = Vec::new();
    for (key, text) in now {
        let earlier = before.remove(&key);
        if earlier.as_ref() != Some(&text) {
            changed.push(ChangedKey {
                key,
                before: earlier,
                now: Some(text),
            });
        }
    }
    changed.extend(before.into_iter().map(|(key, text)| ChangedKey {
        key,
        before: Some(text),
        now: None,
    }));
    changed.sort();
    changed
}

/// Scalars by the keys that lead to them.
type Leaves = BTreeMap<String, String>;

fn leaves<'a>(sources: impl IntoIterator<Item = &'a Source>) -> Leaves {
    let mut leaves = Leaves::new();
    for source in sources {
        let (tree, _) = Tree::parse(FileId(0), &source.text, &Limits::default());
        for &root in tree.roots() {
            if tree.kind(root) != Kind::Mapping {
                continue;
            }
            let sections = tree.pairs(root);
            for (key, value) in sections.filter(|(key, _)| WATCHED.contains(&tree.text(*key))) {
                gather(&tree, value, tree.text(key).to_owned(), 0, &mut leaves);
            }
        }
    }
    leaves
}

/// Deeper than any key of the format lies.
const DEEPEST: usize = 8;

/// Bytes of the keys that lead to one: what is longer has names that nobody reads, and stands in each of
/// the many below it.
const LONGEST: usize = 400;

fn gather(tree: &Tree, node: NodeId, path: String, depth: usize, leaves: &mut Leaves) {
    if depth > DEEPEST {
        return;
    }
    match tree.kind(node) {
        Kind::Mapping => {
            for (key, value) in tree.pairs(node) {
                let key = tree.text(key);
                if path.len() + key.len() > LONGEST {
                    continue;
                }
                let path = format!("{path}.{key}");
                gather(tree, value, path, depth + 1, leaves);
            }
        }
        Kind::List => {
            let items: Vec<&str> = tree.children(node).map(|item| tree.text(item)).collect();
            leaves.insert(path, items.join(", "));
        }
        _ => {
            leaves.insert(path, tree.text(node).to_owned());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source::new("cordwright.yaml", text)
    }

    #[test]
    fn a_key_that_reads_otherwise_is_told_with_both_readings() {
        let before = source(
            "site: {ambient: 35 °C, name: A}\nzones:\n  hot: {ambient: 40 °C}\ncords: {W-1: {type: a}}\n",
        );
        let now = source(
            "zones:\n  hot: {ambient: 30 °C}\nsite: {name: A, continuous-load: 80 %}\ncords: {W-1: {type: b}}\n",
        );
        let changed = changed_keys([&before], [&now]);
        let told: Vec<(&str, Option<&str>, Option<&str>)> = changed
            .iter()
            .map(|key| (&*key.key, key.before.as_deref(), key.now.as_deref()))
            .collect();
        assert_eq!(
            told,
            [
                ("site.ambient", Some("35 °C"), None),
                ("site.continuous-load", None, Some("80 %")),
                ("zones.hot.ambient", Some("40 °C"), Some("30 °C")),
            ]
        );
    }

    #[test]
    fn under_a_name_that_nobody_reads_nothing_is_told() {
        let of =
            |name: &str, ambient| source(&format!("zones: {{{name}: {{ambient: {ambient}}}}}"));
        let (long, longer) = ("z".repeat(387), "z".repeat(388));
        for (name, told) in [(&long, 1), (&longer, 0)] {
            let (before, now) = (of(name, "30 °C"), of(name, "40 °C"));
            assert_eq!(changed_keys([&before], [&now]).len(), told);
        }
    }

    #[test]
    fn other_places_and_other_order_change_nothing() {
        let before = source("site: {name: A, ambient: 35 °C}\n");
        let now = source("# moved\nsite:\n  ambient: '35 °C'\n  name: A\n");
        assert_eq!(changed_keys([&before], [&now]), []);
    }
}
