//! Rooms of many countries and special places, typed by hand as a practitioner there would: on each nothing is
//! said that would have to be put right or found out, and slips in it are found.
//!
//! A room is a folder of `tests/rooms`: the site, the `catalogue.yaml` that it shares with others, if any, and
//! `slips.txt` with blocks of `what`, `find`, `write` and `rule`; a slip lies in one of the two. A slip that no rule
//! finds yet says `missed: yes`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use cordwright::finding::{Finding, Level, Verdict};
use rayon::prelude::*;

use crate::site::{Files, judged};

/// Rooms of which something is still said, and the rules that say it. Every line is a debt.
const NOT_SILENT: &[(&str, &[&str])] = &[];

struct Room {
    name: String,
    files: Files,
    slips: Vec<Slip>,
}

struct Slip {
    find: String,
    write: String,
    rule: String,
    is_missed: bool,
}

fn rooms() -> Vec<Room> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rooms");
    let entries = std::fs::read_dir(folder).unwrap();
    let mut folders: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    folders.sort();
    folders.iter().map(|folder| room(folder)).collect()
}

fn room(folder: &Path) -> Room {
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let mut files = vec![("cordwright.yaml".to_owned(), read("cordwright.yaml"))];
    if folder.join("catalogue.yaml").exists() {
        let path = "../catalogue/catalogue.yaml".to_owned();
        files.push((path, read("catalogue.yaml")));
    }
    Room {
        name: folder.file_name().unwrap().to_str().unwrap().to_owned(),
        files,
        slips: read("slips.txt").trim().split("\n\n").map(slip).collect(),
    }
}

fn slip(block: &str) -> Slip {
    let lines = block.lines().filter_map(|line| line.split_once(": "));
    let lines: BTreeMap<&str, &str> = lines.collect();
    let of = |key: &str| {
        let text = lines.get(key);
        text.unwrap_or_else(|| panic!("no `{key}` in\n{block}"))
            .to_string()
    };
    Slip {
        find: of("find"),
        write: of("write"),
        rule: of("rule"),
        is_missed: lines.contains_key("missed"),
    }
}

/// Every room as a whole site, and with each of its slips.
pub fn room_sites() -> Vec<Files> {
    let sites = |room: Room| {
        let slipped: Vec<Files> = room.slips.iter().map(|slip| slip.made_in(&room)).collect();
        std::iter::once(room.files).chain(slipped)
    };
    rooms().into_iter().flat_map(sites).collect()
}

impl Slip {
    /// How often what it changes stands in a room.
    fn places_in(&self, room: &Room) -> usize {
        let texts = room.files.iter().map(|(_, text)| text);
        texts.map(|text| text.matches(&self.find).count()).sum()
    }

    /// The files of a room with this slip.
    fn made_in(&self, room: &Room) -> Files {
        let files = room.files.iter();
        files
            .map(|(path, text)| (path.clone(), text.replace(&self.find, &self.write)))
            .collect()
    }
}

fn findings(files: &Files) -> Vec<Finding> {
    judged(files).findings
}

/// Whether somebody would have to do something for it.
fn asks_something(found: &Finding) -> bool {
    found.verdict == Verdict::Open || found.level >= Level::Warning
}

#[test]
fn sound_rooms_are_silent() {
    let rooms = rooms();
    assert!(rooms.len() >= 38);
    let said = |room: &Room| {
        let mut rules: Vec<&str> = findings(&room.files)
            .iter()
            .filter(|found| asks_something(found))
            .map(|found| found.rule)
            .collect();
        rules.sort_unstable();
        rules.dedup();
        (room.name.clone(), rules)
    };
    let said: BTreeMap<String, Vec<&str>> = rooms
        .par_iter()
        .map(said)
        .filter(|(_, rules)| !rules.is_empty())
        .collect();
    let known: BTreeMap<String, Vec<&str>> = NOT_SILENT
        .iter()
        .map(|(room, rules)| ((*room).to_owned(), rules.to_vec()))
        .collect();
    assert_eq!(said, known);
}

#[test]
fn slips_are_found() {
    let rooms = rooms();
    let wrong = |room: &Room| -> Vec<String> {
        let before = findings(&room.files);
        let wrong = |slip: &Slip| {
            assert_eq!(slip.places_in(room), 1, "{}: {}", room.name, slip.find);
            let after = findings(&slip.made_in(room));
            let of = |all: &[Finding]| {
                all.iter()
                    .filter(|found| found.rule == slip.rule)
                    .map(|found| found.headline.clone())
                    .collect::<Vec<_>>()
            };
            let known = of(&before);
            let is_found = of(&after).iter().any(|headline| !known.contains(headline));
            (is_found == slip.is_missed).then(|| {
                format!(
                    "{}: `{}` for `{}`: {} says {}",
                    room.name,
                    slip.write,
                    slip.find,
                    slip.rule,
                    if is_found { "it" } else { "nothing" }
                )
            })
        };
        room.slips.iter().filter_map(wrong).collect()
    };
    let wrong: Vec<String> = rooms.par_iter().flat_map(wrong).collect();
    assert_eq!(wrong, [""; 0], "{wrong:#?}");
    assert!(rooms.iter().all(|room| room.slips.len() == 4));
}
