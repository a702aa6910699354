//! Writing definitions down: in one file or many, in blocks or in brackets, with comments, quotes,
//! anchors and either kind of line end; and where every key and value then stands.

use std::collections::BTreeMap;

use super::super::dice::Dice;
use super::tree::Node;

/// A key or a value, by the keys that lead to it.
pub type Path = Vec<String>;

/// Bytes of a file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub file: String,
    pub lo: usize,
    pub hi: usize,
}

/// Definitions as files.
#[derive(Clone, Debug, Default)]
pub struct Written {
    /// Paths and texts.
    pub files: BTreeMap<String, String>,
    /// Where keys stand; a key that is written twice has two places.
    pub keys: BTreeMap<Path, Vec<Place>>,
    /// Where values stand.
    pub values: BTreeMap<Path, Vec<Place>>,
}

/// The main file of a site.
pub const MAIN: &str = "cordwright.yaml";

/// A section, or the part of it that stands in one file: its name, its things, and where each stood
/// among all of them.
type Part = (String, Node, Vec<usize>);

/// How a site is laid out.
struct Layout {
    dice: Dice,
    /// Files that things are spread over.
    files: Vec<&'static str>,
    /// Whether every section has a file of its own.
    by_section: bool,
    /// Blanks by which a block is set in.
    indent: usize,
    /// How often a mapping of words is written in brackets, out of eight.
    brackets: usize,
    comments: bool,
    anchors: bool,
}

/// Writes a site down, in the way of a seed.
pub fn write(site: &Node, seed: u64) -> Written {
    let mut dice = Dice::new(seed ^ 0x5eed);
    let files = [
        "base.yaml",
        "rooms/east.yaml",
        "rooms/west.yml",
        "stock.yaml",
    ];
    let mut layout = Layout {
        files: files[..dice.below(5)].to_vec(),
        by_section: dice.below(3) == 0,
        indent: [2, 2, 4][dice.below(3)],
        brackets: dice.below(9),
        comments: dice.below(2) == 0,
        anchors: dice.below(4) == 0,
        dice,
    };
    let mut parts: BTreeMap<String, Vec<Part>> = BTreeMap::new();
    for (section, things) in site.pairs() {
        layout.spread(section, things, &mut parts);
    }
    let mut written = Written::default();
    parts.entry(MAIN.into()).or_default();
    for (file, sections) in parts {
        let crlf = layout.dice.below(8) == 0;
        let mut pen = Pen {
            file: &file,
            text: String::new(),
            end: if crlf { "\r\n" } else { "\n" },
            anchors: BTreeMap::new(),
            layout: &mut layout,
            written: &mut written,
        };
        pen.file(&sections);
        let text = pen.text;
        written.files.insert(file.clone(), text);
    }
    // Wherever a site leaves something out, there is something to leave out.
    if site.at(&["site", "files", "leave-out"]).is_some() {
        let old = "# What is no longer there.\nracks:\n";
        written.files.insert("old/racks.yaml".into(), old.into());
    }
    written
}

impl Layout {
    /// Puts the things of a section into files.
    fn spread(&mut self, section: &str, things: &Node, parts: &mut BTreeMap<String, Vec<Part>>) {
        let mut put = |file: String, pair: Option<(String, Node)>, whole: &Node, at: usize| {
            let sections = parts.entry(file).or_default();
            if sections.last().is_none_or(|(name, ..)| name != section) {
                let empty = if pair.is_some() {
                    Node::Map(Vec::new())
                } else {
                    Node::List(Vec::new())
                };
                sections.push((section.to_owned(), empty, Vec::new()));
            }
            let (_, node, places) = sections.last_mut().unwrap();
            match (node, pair) {
                (Node::Map(pairs), Some(pair)) => pairs.push(pair),
                (Node::List(items), None) => items.push(whole.clone()),
                _ => unreachable!(),
            }
            places.push(at);
        };
        match things {
            Node::Map(pairs) => {
                for (at, (name, thing)) in pairs.iter().enumerate() {
                    let file = if section == "site" {
                        MAIN.to_owned()
                    } else {
                        self.file_of(section)
                    };
                    put(file, Some((name.clone(), thing.clone())), thing, at);
                }
            }
            Node::List(items) => {
                let file = self.file_of(section);
                for (at, item) in items.iter().enumerate() {
                    put(file.clone(), None, item, at);
                }
            }
            Node::Word(_) | Node::Raw(_) => {
                parts.entry(MAIN.into()).or_default().push((
                    section.to_owned(),
                    things.clone(),
                    vec![0],
                ));
            }
        }
    }

    fn file_of(&mut self, section: &str) -> String {
        if self.by_section {
            return format!("{section}.yaml");
        }
        let at = self.dice.below(self.files.len() + 1);
        self.files.get(at).map_or(MAIN, |file| file).to_owned()
    }
}

/// Writes one file.
struct Pen<'a> {
    file: &'a str,
    text: String,
    end: &'static str,
    /// Anchors of words, by the words.
    anchors: BTreeMap<String, (String, Place)>,
    layout: &'a mut Layout,
    written: &'a mut Written,
}

impl Pen<'_> {
    fn file(&mut self, sections: &[Part]) {
        if self.layout.dice.below(6) == 0 {
            self.line("---");
        }
        if sections.is_empty() {
            self.line("# nothing here");
        }
        for (section, things, places) in sections {
            self.comment(0);
            let path = vec![section.clone()];
            self.key(section, &path);
            self.block(things, 0, &path, Some(places));
            if self.layout.dice.below(3) == 0 {
                self.line("");
            }
        }
    }

    fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push_str(self.end);
    }

    fn comment(&mut self, depth: usize) {
        if self.layout.comments && self.layout.dice.below(6) == 0 {
            let words = [
                "# as pulled",
                "# [see] {the} plan: 4 of 7",
                "# Prüfung 2026",
                "# moved in spring, \"again\"",
            ];
            let word = words[self.layout.dice.below(words.len())];
            self.blanks(depth);
            self.line(word);
        }
    }

    fn blanks(&mut self, depth: usize) {
        let count = depth * self.layout.indent;
        self.text.extend(std::iter::repeat_n(' ', count));
    }

    fn note(&mut self, is_key: bool, path: &Path, lo: usize) {
        let place = self.place(lo);
        let places = if is_key {
            &mut self.written.keys
        } else {
            &mut self.written.values
        };
        places.entry(path.clone()).or_default().push(place);
    }

    fn key(&mut self, key: &str, path: &Path) {
        let lo = self.text.len();
        self.text.push_str(&quoted(key, false));
        self.note(true, path, lo);
        self.text.push(':');
    }

    /// What stands after a key, or after the mark of an item, up to the end of its last line.
    fn block(&mut self, node: &Node, depth: usize, path: &Path, places: Option<&[usize]>) {
        let flat = node
            .pairs()
            .iter()
            .all(|(_, value)| !matches!(value, Node::Raw(_)));
        let brackets = path.len() > 1 && flat && self.layout.dice.below(8) < self.layout.brackets;
        match node {
            Node::Map(pairs) if !pairs.is_empty() && !brackets => {
                self.text.push_str(self.end);
                self.entries(pairs, depth + 1, path);
            }
            Node::List(items)
                if !items.is_empty()
                    && (path.len() == 1
                        || !brackets && path.len() > 1 && self.layout.dice.below(3) == 0) =>
            {
                self.text.push_str(self.end);
                for (at, item) in items.iter().enumerate() {
                    let at = places.map_or(at, |places| places[at]);
                    let path = deeper(path, &at.to_string());
                    self.blanks(depth + 1);
                    self.text.push_str("- ");
                    self.inline(item, &path);
                    self.text.push_str(self.end);
                }
            }
            _ => {
                self.text.push(' ');
                self.inline(node, path);
                if self.layout.comments && self.layout.dice.below(12) == 0 {
                    self.text.push_str("   # measured");
                }
                self.text.push_str(self.end);
            }
        }
    }

    fn entries(&mut self, pairs: &[(String, Node)], depth: usize, path: &Path) {
        for (key, value) in pairs {
            self.comment(depth);
            let path = deeper(path, key);
            self.blanks(depth);
            self.key(key, &path);
            self.block(value, depth, &path, None);
        }
    }

    /// A value in one line.
    fn inline(&mut self, node: &Node, path: &Path) {
        let lo = self.text.len();
        match node {
            Node::Word(text) => return self.word(text, path),
            Node::Raw(text) => self.text.push_str(text),
            Node::List(items) => {
                self.text.push('[');
                for (at, item) in items.iter().enumerate() {
                    if at > 0 {
                        self.text.push_str(", ");
                    }
                    self.inline(item, &deeper(path, &at.to_string()));
                }
                self.text.push(']');
            }
            Node::Map(pairs) => {
                self.text.push('{');
                for (at, (key, value)) in pairs.iter().enumerate() {
                    if at > 0 {
                        self.text.push_str(", ");
                    }
                    let path = deeper(path, key);
                    self.key(key, &path);
                    self.text.push(' ');
                    self.inline(value, &path);
                }
                self.text.push('}');
            }
        }
        self.note(false, path, lo);
    }

    fn word(&mut self, text: &str, path: &Path) {
        let anchored = self.layout.anchors && path.len() > 2 && self.layout.dice.below(6) == 0;
        if let Some((anchor, place)) = self.anchors.get(text).filter(|_| anchored) {
            self.text.push('*');
            self.text.push_str(anchor);
            // What an alias brings here stands where its anchor is.
            let places = self.written.values.entry(path.clone()).or_default();
            return places.push(place.clone());
        }
        let anchor = format!("a{}", self.anchors.len());
        if anchored {
            self.text.push_str(&format!("&{anchor} "));
        }
        let lo = self.text.len();
        let quotes = self.layout.dice.below(30) == 0;
        self.text.push_str(&quoted(text, quotes));
        self.note(false, path, lo);
        if anchored {
            let place = self.place(lo);
            self.anchors.insert(text.to_owned(), (anchor, place));
        }
    }

    /// From a byte to where the pen is.
    fn place(&self, lo: usize) -> Place {
        Place {
            file: self.file.to_owned(),
            lo,
            hi: self.text.len(),
        }
    }
}

fn deeper(path: &Path, key: &str) -> Path {
    let mut path = path.clone();
    path.push(key.to_owned());
    path
}

/// A word as it is written: in quotes where it needs them, or where it is to have them.
fn quoted(text: &str, always: bool) -> String {
    // Without quotes Norway is false to some readers.
    let special = text.is_empty()
        || text == "NO"
        || text.contains([
            '[', ']', '{', '}', ',', '#', '&', '*', '!', '|', '>', '\'', '"', '%', '@', '`', ':',
        ]);
    // A percent sign is special only at the start of a line.
    let special = special && !(text.ends_with('%') && text.matches('%').count() == 1);
    if special || always {
        format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
    } else {
        text.to_owned()
    }
}
