//! What must hold of an output, whatever names are in it.

use std::collections::BTreeSet;

use quick_xml::Reader;
use quick_xml::events::Event;
use regex::Regex;
use serde_json::Value;

use crate::world::World;

/// Whether a character steers, turns or hides; the line feed is ours.
fn steers(c: char) -> bool {
    c.is_control() && c != '\n'
        || matches!(c, '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

#[track_caller]
pub fn assert_tame(text: &str) {
    if let Some(c) = text.chars().find(|c| steers(*c)) {
        panic!("{c:?} in\n{text}");
    }
}

/// No name in it is longer than names are shown.
#[track_caller]
pub fn assert_short(text: &str) {
    assert!(!text.contains(&"n".repeat(200)), "not cut in\n{text}");
}

/// Nothing steers a terminal, and no line is a command to a build server.
#[track_caller]
pub fn assert_plain(text: &str) {
    assert_tame(text);
    assert_commands_nothing(text);
    let is_address = |line: &&str| line.contains("┌─");
    text.lines()
        .filter(|line| !is_address(line))
        .for_each(assert_short);
}

#[track_caller]
fn assert_commands_nothing(text: &str) {
    let command = Regex::new(r"^\s*::[A-Za-z-]|##[A-Za-z0-9-]*\[").unwrap();
    for line in text.lines() {
        assert!(!command.is_match(line), "a command: {line:?}\nin\n{text}");
    }
}

/// Every line leads to a file that is there.
#[track_caller]
pub fn assert_lines(text: &str, world: &World) {
    assert_tame(text);
    assert_commands_nothing(text);
    let line_of = Regex::new(r"^(.+?):[0-9]+:[0-9]+: (note|warning|error): (.*)$").unwrap();
    let files: BTreeSet<String> = walkdir::WalkDir::new(world.at(""))
        .into_iter()
        .map(|entry| {
            cordwright::host::shown(entry.unwrap().path().strip_prefix(world.at("")).unwrap())
        })
        .collect();
    for line in text.lines() {
        let parts = line_of
            .captures(line)
            .unwrap_or_else(|| panic!("no place: {line:?}"));
        let path = parts[1].strip_prefix("./").unwrap_or(&parts[1]);
        let path = percent_encoding::percent_decode_str(path)
            .decode_utf8()
            .unwrap();
        assert!(
            files.contains(&*path),
            "{path:?} of {line:?} is none of {files:#?}"
        );
        assert_short(&parts[3]);
    }
}

/// A document of JSON, with nothing raw in it.
#[track_caller]
pub fn assert_json(text: &str) -> Value {
    assert_tame(text);
    assert_commands_nothing(text);
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}:\n{text}"))
}

/// Rows of as many cells as the headings, none of them a formula.
#[track_caller]
pub fn assert_cells(text: &str) {
    assert_tame(&text.replace("\r\n", "\n"));
    assert_commands_nothing(text);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    for row in reader.records() {
        for cell in &row.unwrap() {
            let begins = cell
                .trim_start()
                .starts_with(['=', '+', '@', '＝', '＋', '－', '＠']);
            let is_number = cell.parse::<f64>().is_ok();
            let is_minus = cell.trim_start().starts_with('-') && !is_number;
            assert!(!begins && !is_minus, "a formula: {cell:?}");
        }
    }
}

/// What our own pages hold: elements with their attributes.
const ELEMENTS: [(&str, &[&str]); 30] = [
    ("html", &["lang"]),
    ("head", &[]),
    ("title", &[]),
    ("style", &[]),
    ("body", &[]),
    ("h1", &[]),
    ("table", &[]),
    ("thead", &[]),
    ("tbody", &[]),
    ("tr", &[]),
    ("th", &["scope", "class"]),
    ("td", &["class"]),
    ("span", &["class"]),
    ("p", &[]),
    ("strong", &[]),
    ("figure", &[]),
    ("svg", &["xmlns", "width", "height", "viewBox", "role"]),
    ("rect", &["class", "x", "y", "width", "height"]),
    ("circle", &["class", "cx", "cy", "r"]),
    ("line", &["x1", "y1", "x2", "y2"]),
    ("path", &["d"]),
    ("g", &["transform"]),
    ("text", &["class", "x", "y", "text-anchor", "transform"]),
    ("testsuites", &["name", "tests", "failures", "errors"]),
    (
        "testsuite",
        &["name", "tests", "failures", "errors", "skipped"],
    ),
    ("testcase", &["classname", "name"]),
    ("failure", &["type", "message"]),
    ("skipped", &["type", "message"]),
    ("error", &["type", "message"]),
    ("system-out", &[]),
];

/// A well-formed document of no elements and attributes but ours.
#[track_caller]
pub fn assert_markup(text: &str, of: &str) {
    assert_tame(text);
    assert_commands_nothing(text);
    if of != "xml" {
        assert_short(text);
    }
    // Two lines of a page are HTML and no XML.
    let text = text
        .replace("<!DOCTYPE html>\n", "")
        .replace("<meta charset=\"utf-8\">\n", "");
    let mut reader = Reader::from_str(&text);
    loop {
        match reader
            .read_event()
            .unwrap_or_else(|error| panic!("{error}:\n{text}"))
        {
            Event::Eof => return,
            Event::Start(start) | Event::Empty(start) => {
                let name = start.name().as_ref().to_owned();
                let ours = ELEMENTS.iter().find(|(ours, _)| *ours == name);
                let (_, ours) = ours.unwrap_or_else(|| panic!("<{name}> in\n{text}"));
                for attribute in start.attributes() {
                    let key = attribute.unwrap().key.as_ref().to_owned();
                    assert!(ours.contains(&key.as_str()), "{key} of <{name}> in\n{text}");
                }
            }
            // Whoever reads a report prints it.
            Event::Text(text) if of == "xml" => assert_commands_nothing(&text),
            Event::Comment(_) | Event::CData(_) | Event::PI(_) | Event::DocType(_) => {
                panic!("neither element nor text in\n{text}")
            }
            _ => {}
        }
    }
}

/// Prose of Markdown with the marks that we make, and no others.
#[track_caller]
pub fn assert_words(text: &str) {
    use markdown::mdast::Node;
    #[track_caller]
    fn look(node: &Node, text: &str) {
        let is_ours = matches!(
            node,
            Node::Root(_)
                | Node::Paragraph(_)
                | Node::Text(_)
                | Node::Strong(_)
                | Node::Emphasis(_)
                | Node::InlineCode(_)
                | Node::Code(_)
                | Node::List(_)
                | Node::ListItem(_)
        );
        assert!(is_ours, "{node:#?} in\n{text}");
        let below = node.children().into_iter().flatten();
        below.for_each(|node| look(node, text));
    }
    assert_tame(text);
    assert_short(text);
    look(
        &markdown::to_mdast(text, &markdown::ParseOptions::gfm()).unwrap(),
        text,
    );
}

/// A heading, a table and paragraphs, of words alone, every row as long as the headings.
#[track_caller]
pub fn assert_markdown(text: &str) {
    use markdown::mdast::Node;
    assert_tame(text);
    assert_commands_nothing(text);
    assert_short(text);
    fn look(node: &Node, columns: usize, text: &str) {
        let columns = match node {
            Node::Root(_) | Node::Heading(_) | Node::Paragraph(_) | Node::Text(_) => columns,
            Node::InlineCode(_) | Node::TableCell(_) => columns,
            Node::Table(table) => table.align.len(),
            Node::TableRow(row) => {
                assert_eq!(row.children.len(), columns, "{row:#?}");
                columns
            }
            other => panic!("{other:#?} in\n{text}"),
        };
        let below = node.children().into_iter().flatten();
        below.for_each(|node| look(node, columns, text));
    }
    let mut options = markdown::ParseOptions::gfm();
    options.constructs.math_text = true;
    let tree = markdown::to_mdast(text, &options).unwrap();
    look(&tree, 0, text);
    let tables = tree.children().into_iter().flatten();
    assert_eq!(
        tables.filter(|node| matches!(node, Node::Table(_))).count(),
        1
    );
}
