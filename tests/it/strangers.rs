//! Names of strangers, in every place that a name can come from, through every command: nothing that
//! comes out is more than words in the output that it stands in.
#![cfg(unix)]

pub mod held;
pub mod site;

use crate::decks::redone::redone;
use crate::repository::Repository;
use crate::world::{Ended, World};
use held::{assert_cells, assert_json, assert_lines, assert_markdown, assert_markup, assert_plain};

/// Fifty letters.
macro_rules! fifty {
    () => {
        "nnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnn"
    };
}

/// Names that are made to do something, each in an output of its own.
const HOSTILE: [&str; 16] = [
    "\u{1b}]0;gone\u{7}\u{1b}[2J",
    "::error file=a.yaml,line=1::gone",
    "a ::stop-commands::b",
    "##[error]gone ##vso[task.complete]",
    "``` ````",
    "<img src=x onerror=alert(1)>",
    "\" onload=\"alert(1)\" '",
    "]]></text><script>",
    "=cmd()",
    " =1+1",
    "＝1+1",
    "W\u{202e}1-\u{200b}W",
    "a\u{0}b",
    "a\u{2028}b\r\nc\td",
    "[a](https://example.org) | www.example.org **b** _c_ <https://example.org>",
    LONG,
];

/// Longer than names are shown.
const LONG: &str = concat!(fifty!(), fifty!(), fifty!(), fifty!(), fifty!(), fifty!());

/// A site whose things go by hostile names, each by another in every turn, and a command that runs in it.
struct Stranger {
    world: World,
    names: site::Names,
}

impl Stranger {
    fn new(turn: usize) -> Self {
        let names = site::Names(turn);
        let world = World::with(&[]);
        for (path, text) in site::files(&names) {
            world.put(&path, &text);
        }
        Self { world, names }
    }

    /// What a command says; all that it tells beside its output is plain text.
    fn run(&self, words: &[&str]) -> Ended {
        let ended = self.world.run(words);
        assert!(ended.code.is_some_and(|code| code <= 2), "{words:?}");
        assert_plain(&ended.errors);
        ended
    }

    fn said(&self, words: &[&str]) -> String {
        let output = self.run(words).output;
        assert!(!output.is_empty(), "{words:?} says nothing");
        output
    }
}

fn in_every_turn(test: impl Fn(&Stranger)) {
    (0..HOSTILE.len())
        .step_by(4)
        .map(Stranger::new)
        .for_each(|stranger| test(&stranger));
}

#[test]
fn reports_hold_names_as_words() {
    in_every_turn(|stranger| {
        let check = |format| stranger.said(&["check", "--format", format]);
        assert_plain(&check("annotated"));
        let coloured = stranger.said(&["check", "--color", "always"]);
        let colours = regex::Regex::new("\u{1b}\\[[0-9;]*m").unwrap();
        assert_plain(&colours.replace_all(&coloured, ""));
        assert_lines(&check("lines"), &stranger.world);
        assert_markup(&check("junit"), "xml");
        let told = assert_json(&check("json"));
        let findings = told["sites"][0]["findings"].as_array().unwrap();
        assert!(findings.len() > 8, "{findings:#?}");
        for finding in findings {
            held::assert_short(finding["headline"].as_str().unwrap());
        }
        assert_json(&check("sarif"));
    });
}

#[test]
fn schedules_surveys_and_drawings_hold_names_as_words() {
    in_every_turn(|stranger| {
        for kind in ["cords", "order", "labels", "loads"] {
            let schedule = |format| stranger.said(&["schedule", kind, "--format", format]);
            assert_plain(&schedule("table"));
            assert_cells(&schedule("csv"));
            assert_markdown(&schedule("markdown"));
            assert_markup(&schedule("html"), "html");
        }
        for more in [&[][..], &["--all"]] {
            let analysis =
                |format| stranger.said(&[&["survey", "--format", format][..], more].concat());
            assert_plain(&analysis("table"));
            assert_cells(&analysis("csv"));
            assert_markdown(&analysis("markdown"));
            assert_markup(&analysis("html"), "html");
        }
        for kind in ["lines", "racks"] {
            assert_markup(&stranger.said(&["drawing", kind]), "svg");
            assert_markup(
                &stranger.said(&["drawing", kind, "--format", "html"]),
                "html",
            );
        }
    });
}

#[test]
fn traces_remedies_levels_and_lists_hold_names_as_words() {
    in_every_turn(|stranger| {
        for thing in ["cord", "device", "pdu", "circuit", "supply"] {
            let name = stranger.names.of(thing);
            if name.contains('\0') {
                continue;
            }
            assert_plain(&stranger.said(&["trace", &name]));
            assert_json(&stranger.said(&["trace", &name, "--format", "json"]));
            let deck = stranger.said(&["trace", &name, "--format", "spice"]);
            assert_plain(&deck);
            redone(&deck);
        }
        assert_plain(&stranger.said(&["remedy"]));
        assert_plain(&stranger.said(&["cite", "--levels", "."]));
        // Of a site that cannot be read as a whole there is no list.
        std::fs::remove_file(stranger.world.at(&site::half_typed(&stranger.names))).unwrap();
        assert_plain(&stranger.said(&["snags"]));
        let list = std::fs::read_to_string(stranger.world.at("cordwright-snags.txt")).unwrap();
        assert!(list.lines().count() > 5, "{list}");
        held::assert_tame(&list);
        stranger
            .world
            .put("more.yaml", "cords: {W-99: {type: nothing}}");
        assert_plain(&stranger.said(&["snags"]));
    });
}

#[test]
fn a_change_of_a_stranger_is_told_in_words() {
    for turn in (0..HOSTILE.len()).step_by(4) {
        let (names, others) = (site::Names(turn), site::Names(turn + 4));
        let repository = Repository::new();
        for (path, text) in site::files(&names) {
            repository.put(&path, &text);
        }
        repository.take(&site::half_typed(&names));
        repository.commit();
        // All things go, and others come.
        let [_, _, (path, _), _] = site::files(&names);
        let [_, _, (_, text), _] = site::files(&others);
        repository.put(&path, &text);
        let check = |format| {
            let words = ["check", "--compare", "main", "--format", format];
            let ended = repository.world.run(&words);
            assert_plain(&ended.errors);
            assert!(!ended.output.is_empty(), "{format}: {}", ended.errors);
            ended
        };
        let told = check("annotated");
        assert_plain(&told.output);
        assert!(told.output.contains("taken out:"), "{}", told.output);
        assert_lines(&check("lines").output, &repository.world);
        assert_markup(&check("junit").output, "xml");
        assert_json(&check("json").output);
        assert_json(&check("sarif").output);
    }
}

#[test]
fn words_of_the_command_line_are_words_in_complaints() {
    let world = World::with(&[("cordwright.yaml", "site: {name: Quay, practice: iec}\n")]);
    for word in HOSTILE.iter().filter(|word| !word.contains('\0')) {
        for words in [
            vec!["check", "--only", word],
            vec!["check", "--without", word],
            vec!["check", "--in", word],
            vec!["check", "--compare", word],
            vec!["check", "--fail-at", word],
            vec!["check", "--on", word],
            vec!["check", "--", word],
            vec!["trace", "--", word],
            vec!["trace", "x", "--", word],
            vec!["drawing", "lines", "--below", word],
            vec!["cite", "--", word],
            vec!["cite", "--levels", word],
            vec!["schedule", "--", word],
            vec!["take-in", "--of", "cords", "--", word],
            vec!["--color", word, "cite"],
            vec!["remedy", "--", word],
            vec!["snags", "--", word],
            vec![word],
        ] {
            let ended = world.run(&words);
            assert_eq!(ended.code, Some(2), "{words:?}\n{}", ended.errors);
            assert!(!ended.errors.is_empty(), "{words:?}");
            assert_plain(&ended.errors);
            assert_plain(&ended.output);
        }
        // A buffer that is not saved may have any name.
        let ended = world.run(&["check", "--stdin-as", word]);
        assert_plain(&format!("{}{}", ended.output, ended.errors));
    }
}

#[test]
fn folders_of_strangers_are_words() {
    for name in HOSTILE.iter().filter(|name| !name.contains(['\0', '/'])) {
        let name: String = name.chars().take(80).collect();
        let world = World::with(&[]);
        let names = site::Names(5);
        for (path, text) in site::files(&names) {
            world.put(&format!("{name}/{path}"), &text);
        }
        world.put("b/cordwright.yaml", "site: {name: Quay, practice: iec}\n");
        let said = |words: &[&str]| {
            let ended = world.run(words);
            assert_plain(&ended.errors);
            ended.output
        };
        assert_plain(&said(&["check", "."]));
        assert_lines(&said(&["check", ".", "--format", "lines"]), &world);
        assert_markup(&said(&["check", ".", "--format", "junit"]), "xml");
        assert_json(&said(&["check", ".", "--format", "sarif"]));
        assert_cells(&said(&["schedule", "labels", ".", "--format", "csv"]));
        assert_plain(&said(&["remedy", "."]));
        assert_plain(&said(&["start", &format!("./{name}"), "--practice", "iec"]));
        assert_plain(&said(&["start", &format!("c/{name}"), "--practice", "iec"]));
    }
}

#[test]
fn cells_of_a_stranger_are_texts_in_definitions() {
    let mut rows = csv::Writer::from_writer(Vec::new());
    rows.write_record(["name", "type", "from", "to", "=cmd()"])
        .unwrap();
    for name in HOSTILE {
        rows.write_record([name, name, "p/1", name, "x"]).unwrap();
        rows.write_record([name, name, "p/1", name, "x"]).unwrap();
    }
    let rows = String::from_utf8(rows.into_inner().unwrap()).unwrap();
    let world = World::with(&[("cords.csv", &rows)]);
    let ended = world.run(&["take-in", "cords.csv", "--of", "cords"]);
    assert_plain(&ended.errors);
    ended.output.lines().for_each(held::assert_tame);
    let yaml: serde_json::Value = serde_yaml::from_str(&ended.output).unwrap();
    let cords = yaml["cords"].as_object().unwrap();
    for name in HOSTILE.map(str::trim) {
        match name.chars().count() {
            ..=200 => assert_eq!(cords[name]["type"], name, "{name:?}"),
            _ => assert!(ended.errors.contains("longer than a name may be")),
        }
    }
}
