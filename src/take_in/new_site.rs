//! A new site out of lists: its own file, the lists as definitions, and what they name and do not define.

use std::collections::{BTreeMap, BTreeSet};

use super::cord_types::MadeType;
use super::entries::{Entry, Value};
use super::{Taken, Things, is_too_long};
use crate::ink::{Written, Yaml, short};
use crate::input::SITE_FILE;
use crate::tables::Practice;

/// The files of a new site.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewSite {
    /// Their paths below its folder, and their texts; the site's own file first.
    pub files: Vec<(String, Written<Yaml>)>,
    /// What to look at, since the lists may not mean it.
    pub doubts: Vec<String>,
}

/// A section and a name in it.
type Named = (&'static str, String);

/// Names that definitions define, and those that they take to be defined.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Names {
    defined: BTreeSet<Named>,
    used: BTreeSet<Named>,
}

impl Names {
    pub fn of(things: Things, types: &[MadeType], entries: &[Entry]) -> Self {
        let of_type = |made: &MadeType| (things.section_of_type(), made.name.clone());
        let of_thing = |entry: &Entry| (things.section(), entry.name.clone());
        let types_and_things = types
            .iter()
            .map(of_type)
            .chain(entries.iter().map(of_thing));
        let said = entries.iter().flat_map(|entry| &entry.own);
        let said = said.chain(types.iter().flat_map(|made| &made.values));
        Self {
            defined: types_and_things.collect(),
            used: said.filter_map(|value| used(things, value)).collect(),
        }
    }
}

/// What a value takes to be defined.
fn used(things: Things, value: &Value) -> Option<Named> {
    let path: Vec<&str> = value.path.iter().map(String::as_str).collect();
    let section = match (things, path.as_slice()) {
        (Things::Devices, ["model"]) => "device-models",
        (Things::Pdus, ["model"]) => "pdu-models",
        (Things::Devices | Things::Pdus, ["rack"]) => "racks",
        (Things::Devices | Things::Racks, ["zone"]) => "zones",
        // With a slash it is the outlet of a strip or a device.
        (Things::Pdus, ["from"]) if !value.text.contains('/') => "circuits",
        (Things::Circuits, ["from"]) => "supplies",
        (Things::Devices | Things::DeviceModels, ["inlets", _, "feed"]) => FEEDS,
        _ => return None,
    };
    (!is_too_long(&value.text)).then(|| (section, value.text.clone()))
}

/// Feeds are defined under `site`.
const FEEDS: &str = "feeds";

/// Sections of what the lists only name: the file that it goes to, and what is to be filled in.
const ONLY_NAMED: [(&str, &str, &str); 6] = [
    ("zones", SITE_FILE, include_str!("new_site/zones.txt")),
    ("supplies", SITE_FILE, include_str!("new_site/supplies.txt")),
    ("circuits", SITE_FILE, include_str!("new_site/circuits.txt")),
    (
        "racks",
        "racks-to-fill-in.yaml",
        include_str!("new_site/racks.txt"),
    ),
    (
        "device-models",
        "types-to-fill-in.yaml",
        include_str!("new_site/device-models.txt"),
    ),
    (
        "pdu-models",
        "types-to-fill-in.yaml",
        include_str!("new_site/pdu-models.txt"),
    ),
];

/// A site that begins with lists, at most one of each kind: they become files of their own; what they name
/// and nothing defines is there as well, empty, with a remark that says what to fill in.
pub fn new_site(practice: Practice, country: Option<&str>, lists: &[(Things, Taken)]) -> NewSite {
    let all = |of: fn(&Names) -> &BTreeSet<Named>| -> BTreeSet<Named> {
        let names = lists
            .iter()
            .map(|(_, taken)| of(&taken.names).iter().cloned());
        names.flatten().collect()
    };
    let (defined, used) = (all(|names| &names.defined), all(|names| &names.used));
    let missing: BTreeSet<&Named> = used.difference(&defined).collect();
    let mut files = vec![(SITE_FILE.to_owned(), site(practice, country, &missing))];
    for (section, path, remark) in ONLY_NAMED {
        let names = missing.iter().filter(|(own, _)| *own == section);
        let names: Vec<&str> = names.map(|(_, name)| name.as_str()).collect();
        if names.is_empty() {
            continue;
        }
        let at = files.iter().position(|(own, _)| own == path);
        let at = at.unwrap_or_else(|| {
            files.push((path.to_owned(), Written::new()));
            files.len() - 1
        });
        if let Some((_, text)) = files.get_mut(at) {
            put_names(text, section, remark, &names);
        }
    }
    files.extend(lists.iter().map(|(things, taken)| {
        let path = format!("{}.yaml", things.section());
        (path, taken.yaml.clone())
    }));
    let names = used.union(&defined);
    let doubts = alike(names).chain(twice(lists)).collect();
    NewSite { files, doubts }
}

fn put_names(
    text: &mut Written<Yaml>,
    section: &'static str,
    remark: &'static str,
    names: &[&str],
) {
    if !text.is_empty() {
        text.ours("\n");
    }
    text.ours(remark).ours(section).ours(":\n");
    for name in names {
        text.ours("  ").scalar(name).ours(": {}\n");
    }
}

fn site(practice: Practice, country: Option<&str>, missing: &BTreeSet<&Named>) -> Written<Yaml> {
    let mut text = Written::new();
    text.ours(include_str!("new_site/head.txt"));
    text.ours(match practice {
        Practice::Iec => "  practice: iec             # 230 V, mm², IEC and BS tables\n",
        Practice::Nec => "  practice: nec             # 120 V and 208 V, AWG, NEC tables\n",
    });
    match country {
        Some(country) => text.ours("  country: ").scalar(country).ours("\n"),
        None => text.ours("  # country:                # by its two letters: approval marks and wall plugs go by it\n"),
    };
    let feeds = missing.iter().filter(|(section, _)| *section == FEEDS);
    let feeds: Vec<&str> = feeds.map(|(_, name)| name.as_str()).collect();
    match feeds.is_empty() {
        true => {
            text.ours("  # feeds: {A: {}, B: {}}   # the independent ways that power comes to a rack, and their colours\n");
        }
        false => {
            text.ours("  feeds:                    # and their colours: {colour: blue}\n");
            for feed in feeds {
                text.ours("    ").scalar(feed).ours(": {}\n");
            }
        }
    }
    text.ours(include_str!("new_site/tail.txt"));
    text
}

/// Names of racks, models and the like that differ only in their letter case and in blanks and marks, as in `R-1`
/// and `r1`.
fn alike<'a>(names: impl Iterator<Item = &'a Named>) -> impl Iterator<Item = String> {
    let mut by_letters: BTreeMap<(&str, String), Vec<&str>> = BTreeMap::new();
    for (section, name) in
        names.filter(|(section, _)| ONLY_NAMED.iter().any(|(own, ..)| own == section))
    {
        let letters = letters(name);
        by_letters
            .entry((*section, letters))
            .or_default()
            .push(name);
    }
    let several = by_letters
        .into_iter()
        .filter(|((_, letters), names)| !letters.is_empty() && names.len() > 1);
    several.map(|((section, _), names)| {
        let names: Vec<_> = names.into_iter().map(short).collect();
        format!(
            "Under {section}, {} are taken for different things. If they are one, write them alike.",
            names.join(" and ")
        )
    })
}

/// A name without letter case, blanks and marks, but for those that part two numbers: `1-1` is not `11`.
fn letters(name: &str) -> String {
    let mut letters = String::new();
    let mut is_parted = false;
    for c in name.chars() {
        if !c.is_alphanumeric() {
            is_parted = true;
            continue;
        }
        let parts_numbers = c.is_numeric() && letters.ends_with(char::is_numeric);
        letters.extend((is_parted && parts_numbers).then_some('-'));
        letters.extend(c.to_lowercase());
        is_parted = false;
    }
    letters
}

/// Models that two lists define.
fn twice(lists: &[(Things, Taken)]) -> impl Iterator<Item = String> {
    let mut seen = BTreeSet::new();
    let mut twice = BTreeSet::new();
    for (_, taken) in lists {
        for named in &taken.names.defined {
            twice.extend((!seen.insert(named)).then_some(named));
        }
    }
    let first = twice.iter().next().map(|(section, name)| {
        let count = twice.len();
        format!("Two lists say what is under {section}: {count} in all, {} among them, now stand there twice. Take the columns out of one of the lists, by `ignore` in a mapping file.", short(name))
    });
    first.into_iter()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_alike_by_their_letters_and_numbers() {
        for (one, other, are_alike) in [
            ("R-1", "r1", true),
            ("R 1", "R_1", true),
            ("R1-1", "R11", false),
            ("R1.1", "r1-1", true),
            ("R1", "R01", false),
        ] {
            assert_eq!(letters(one) == letters(other), are_alike, "{one} {other}");
        }
    }
}
