//! The fuzz targets over a corpus, and over so many damaged copies of it: the same on every run.
//!
//! `CORDWRIGHT_SEEDS=FOLDER` writes the corpus out for the guided runs; `CORDWRIGHT_DAMAGED=20000`
//! tries more copies than the plain test.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use serde_json::Value;

use crate::dice::Dice;
use crate::fuzz_targets::editing::EDIT;
use crate::fuzz_targets::laid_out::FILE;
use crate::fuzz_targets::talk::ROOT;
use crate::fuzz_targets::{TARGETS, run};
use crate::pages::{bases, example_sites};
use crate::site::Files;

/// Damaged copies that the plain test tries of each target.
const DAMAGED: u64 = 100;
/// What the guided runs put in now and then, too.
const WORDS: &str = include_str!("../fuzz/keys.dict");

const SHEETS: [&str; 3] = [
    "\0\u{feff}Label\tType\tFrom\tTo\r\nW-001\tblue-1.5m\track-1-a/1\tserver-01/psu1\r\n",
    "\u{1}name;model;rack;at;draw (W)\nserver-01;server;rack-1;U4;220\nserver-02;\"a \"\"b\"\"\";;;\n",
    "\u{2}name,from,poles,breaker,breaker.curve,length [ft]\nA-1,ups-a,L1-N,16 A,C,30\nA-2,,NO,,,\n",
];

/// What an editor may say, `FILE` being the folder of the site.
const TALKS: [&str; 4] = [
    r#"{"method": "textDocument/didOpen", "params": {"textDocument": {"uri": "FILE/cords.yaml", "languageId": "yaml", "version": 1, "text": "cords:\n  W-1: {type: a, from: b/1, to: c/1}\n"}}}
@@@{"method": "textDocument/didChange", "params": {"textDocument": {"uri": "FILE/cords.yaml", "version": 2}, "contentChanges": [{"range": {"start": {"line": 1, "character": 9}, "end": {"line": 1, "character": 12}}, "text": "é𝔸"}]}}
@@@{"id": 1, "method": "textDocument/completion", "params": {"textDocument": {"uri": "FILE/cords.yaml"}, "position": {"line": 1, "character": 10}}}
@@@{"id": 2, "method": "textDocument/diagnostic", "params": {"textDocument": {"uri": "FILE/cords.yaml"}}}"#,
    r#"{"id": 1, "method": "textDocument/hover", "params": {"textDocument": {"uri": "FILE/cords.yaml"}, "position": {"line": 1, "character": 3}}}
@@@{"id": 2, "method": "textDocument/codeAction", "params": {"textDocument": {"uri": "FILE/cords.yaml"}, "range": {"start": {"line": 0, "character": 0}, "end": {"line": 9, "character": 0}}, "context": {"diagnostics": []}}}
@@@{"id": "3", "method": "workspace/diagnostic", "params": {"previousResultIds": []}}
@@@{"method": "$/cancelRequest", "params": {"id": "3"}}"#,
    r#"{"id": 1, "method": "textDocument/rename", "params": {"textDocument": {"uri": "FILE/cords.yaml"}, "position": {"line": 1, "character": 3}, "newName": "W-9"}}
@@@{"method": "workspace/didChangeWatchedFiles", "params": {"changes": [{"uri": "FILE/cords.yaml", "type": 3}]}}
@@@{"method": "workspace/didChangeWorkspaceFolders", "params": {"event": {"added": [], "removed": [{"uri": "FILE", "name": "s"}]}}}
@@@{"method": "textDocument/didClose", "params": {"textDocument": {"uri": "FILE/cords.yaml"}}}"#,
    "!Content-Length: 99999999999\r\n\r\n{\n@@@[1]\n@@@{\"id\": 1.5, \"method\": 7}\n@@@!Content-Type: x\r\n\r\n",
];

/// A site as the targets take it.
fn laid_out(files: &Files) -> Vec<u8> {
    let texts = files
        .iter()
        .map(|(path, text)| format!("{FILE}{path}\n{text}"));
    texts.collect::<String>().into_bytes()
}

pub fn example_repo() -> Files {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("example-repo");
    let files = walkdir::WalkDir::new(&root).sort_by_file_name().into_iter();
    let files = files.map(|entry| entry.unwrap().into_path());
    let files = files.filter(|path| path.extension().is_some_and(|ending| ending == "yaml"));
    let below = |path: PathBuf| {
        let name = path.strip_prefix(&root).unwrap().to_string_lossy();
        (
            name.replace('\\', "/"),
            std::fs::read_to_string(&path).unwrap(),
        )
    };
    files.map(below).collect()
}

/// What a target is begun with.
fn seeds(target: &str) -> Vec<Vec<u8>> {
    let sites: Vec<Files> = example_sites();
    match target {
        "take-in" => SHEETS.map(|sheet| sheet.as_bytes().to_vec()).to_vec(),
        "reading" => {
            let files = sites
                .into_iter()
                .flatten()
                .map(|(_, text)| text.into_bytes());
            let mut files: Vec<_> = files.collect();
            files.sort();
            files.dedup();
            files
        }
        "talk" => TALKS
            .map(|talk| talk.replace("FILE", ROOT).into_bytes())
            .to_vec(),
        "change" => sites.windows(2).map(changed).collect(),
        "editing" => sites.iter().enumerate().map(edited).collect(),
        _ => {
            let base = bases().into_values().map(String::into_bytes);
            let mut all: Vec<_> = sites.iter().map(laid_out).chain(base).collect();
            for bytes in all.iter_mut().step_by(7) {
                *bytes = String::from_utf8_lossy(bytes)
                    .replace('\n', "\r\n")
                    .into_bytes();
            }
            all
        }
    }
}

/// A site, and another that it may become.
fn changed(sites: &[Files]) -> Vec<u8> {
    let states: Vec<Vec<u8>> = sites.iter().map(laid_out).collect();
    states.join(EDIT)
}

/// A site and three edits of it.
fn edited((at, files): (usize, &Files)) -> Vec<u8> {
    let mut bytes = laid_out(files);
    let mut dice = Dice::new(at as u64);
    for new in ["", "0", "\n  x: {y: 1}\n"] {
        bytes.extend(EDIT);
        bytes.push(dice.below(files.len()) as u8);
        bytes.extend((dice.below(4_000) as u16).to_be_bytes());
        bytes.push(dice.below(20) as u8);
        bytes.extend(new.as_bytes());
    }
    bytes
}

/// Inputs that once broke a target down.
fn found(target: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/found")
        .join(target);
    let files = walkdir::WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter();
    let files = files
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_file());
    files
        .map(|entry| std::fs::read(entry.path()).unwrap())
        .collect()
}

/// A copy of one input with a few mistakes of any kind, some of it from another.
fn damaged(seeds: &[Vec<u8>], words: &[Vec<u8>], seed: u64) -> Vec<u8> {
    let mut dice = Dice::new(seed);
    let mut bytes = seeds[dice.below(seeds.len())].clone();
    for _ in 0..=dice.below(4) {
        let at = dice.below(bytes.len() + 1);
        let end = (at + dice.below(40)).min(bytes.len());
        match dice.below(7) {
            0 if at < bytes.len() => bytes[at] = dice.below(256) as u8,
            1 => drop(bytes.drain(at..end)),
            2 => drop(bytes.splice(at..end, words[dice.below(words.len())].clone())),
            3 => drop(bytes.splice(at..at, words[dice.below(words.len())].clone())),
            4 => {
                let piece = bytes[at..end].to_vec();
                let to = dice.below(bytes.len() + 1);
                drop(bytes.splice(to..to, piece));
            }
            5 => {
                let other = &seeds[dice.below(seeds.len())];
                let lo = dice.below(other.len() + 1);
                let hi = (lo + dice.below(400)).min(other.len());
                drop(bytes.splice(at..end, other[lo..hi].iter().copied()));
            }
            _ => bytes.truncate(at),
        }
    }
    bytes
}

/// The words of the dictionary.
fn words() -> Vec<Vec<u8>> {
    let lines = WORDS.lines().filter_map(|line| line.strip_prefix('"'));
    let words = lines.filter_map(|line| line.strip_suffix('"'));
    words.map(unescaped).collect()
}

/// `\n`, `\"`, `\\` and `\xAB` as the bytes that they stand for.
fn unescaped(word: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut rest = word.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'\\' => match rest.next().expect("an escape that is whole") {
                b'x' => {
                    let digits = [rest.next().unwrap(), rest.next().unwrap()];
                    u8::from_str_radix(std::str::from_utf8(&digits).unwrap(), 16).unwrap()
                }
                b'n' => b'\n',
                other => other,
            },
            byte => byte,
        });
    }
    bytes
}

/// Runs a target over many inputs, and tells those that break it down.
fn hold(target: &str, inputs: Vec<Vec<u8>>) {
    let broken: Vec<Vec<u8>> = inputs
        .into_par_iter()
        .filter(|bytes| catch_unwind(AssertUnwindSafe(|| run(target, bytes))).is_err())
        .collect();
    let mut told = String::new();
    for bytes in broken.iter().take(3) {
        let shown = bytes.escape_ascii();
        write!(told, "\n{target} breaks down over b\"{shown}\"").unwrap();
    }
    assert!(broken.is_empty(), "{} inputs:{told}", broken.len());
}

#[test]
fn every_target_holds_over_its_corpus() {
    for (target, _) in TARGETS {
        // The pages have a test of their own, so one of so many does.
        let mut inputs: Vec<_> = seeds(target).into_iter().step_by(3).collect();
        assert!(!inputs.is_empty());
        inputs.extend(found(target));
        inputs.push(Vec::new());
        hold(target, inputs);
    }
}

#[test]
fn every_target_holds_over_damaged_copies() {
    let count = std::env::var("CORDWRIGHT_DAMAGED");
    let count: u64 = count.map_or(DAMAGED, |count| count.parse().unwrap());
    let words = words();
    for (target, _) in TARGETS {
        let mut from = seeds(target);
        from.extend(found(target));
        let copies = (0..count).map(|seed| damaged(&from, &words, seed));
        hold(target, copies.collect());
    }
}

/// All keys of the format, and the words that it knows.
fn of_the_schema(schema: &Value, words: &mut BTreeSet<String>) {
    match schema {
        Value::Object(members) => {
            for (name, member) in members {
                if name == "properties" {
                    let keys = member.as_object().into_iter().flatten();
                    words.extend(keys.map(|(key, _)| format!("{key}: ")));
                }
                if name == "enum" {
                    let known = member.as_array().into_iter().flatten();
                    words.extend(known.filter_map(Value::as_str).map(str::to_owned));
                }
                of_the_schema(member, words);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| of_the_schema(item, words)),
        _ => {}
    }
}

/// What else a text may be broken by, or held together with.
const PIECES: [&str; 40] = [
    "\n=== cordwright.yaml\n",
    "\n=== a.yaml\n",
    "\n=== cordwright-snags.txt\n",
    "\n@@@",
    "\n---\n",
    "\n...\n",
    "<<: *a",
    "&a ",
    "*a",
    "!!str ",
    "!t ",
    "? ",
    "- ",
    "| ",
    ">-\n",
    "[",
    "]",
    "{",
    "}",
    ", ",
    ": ",
    "#",
    "'",
    "\"",
    "\\",
    "\t",
    "\r\n",
    "~",
    "%YAML 1.2\n",
    "\u{feff}",
    "\u{1b}[31m",
    "\u{202e}",
    "²",
    "Ω",
    "1e999",
    "-0",
    "0x1F",
    "99999999999999999999",
    "NaN",
    "1 kA",
];

#[test]
fn the_dictionary_has_every_key_of_the_format() {
    let mut words: BTreeSet<String> = PIECES.map(str::to_owned).into();
    of_the_schema(&cordwright::model::schema(), &mut words);
    let escaped = words.iter().map(|word| {
        let bytes = word.bytes().map(|byte| match byte {
            b'"' => "\\\"".to_owned(),
            b'\\' => "\\\\".to_owned(),
            b' '..=b'~' => char::from(byte).to_string(),
            byte => format!("\\x{byte:02X}"),
        });
        format!("\"{}\"\n", bytes.collect::<String>())
    });
    let text = format!(
        "# Made by the test that checks it.\n{}",
        escaped.collect::<String>()
    );
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/keys.dict");
        std::fs::write(path, text).unwrap();
    } else {
        assert_eq!(
            text, WORDS,
            "the words are others: CORDWRIGHT_BLESS=1 writes them"
        );
    }
}

#[test]
fn the_corpus_can_be_laid_out_for_guided_runs() {
    let own = tempfile::tempdir().unwrap();
    let folder = std::env::var_os("CORDWRIGHT_SEEDS");
    let folder = folder.map_or_else(|| own.path().to_owned(), PathBuf::from);
    for (target, _) in TARGETS {
        let place = folder.join(target);
        std::fs::create_dir_all(&place).unwrap();
        let mut all = seeds(target);
        all.extend(found(target));
        all.push(laid_out(&example_repo()));
        for (number, bytes) in all.iter().enumerate() {
            std::fs::write(place.join(format!("seed-{number}")), bytes).unwrap();
        }
        assert!(std::fs::read_dir(&place).unwrap().count() >= all.len());
    }
}
