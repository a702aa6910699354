//! A writer of random YAML that notes, for every node, the range it must be given.

use std::ops::Range;

use super::super::Kind;
use super::Random;

/// Words that tempt a reader to see more than text. None reads as a number or a truth value.
const WORDS: &[&str] = &[
    "C13", "ö-", "𝔸b", "a#b", "v|w", "p>q", "m&n", "x:y", "µ!", "it's",
];
const COMMENTS: &[&str] = &["| > - & ! : ?", "- no", "&n !t", "é", "[ {", "' \"", ": x"];

/// How a text is laid out.
#[derive(Clone, Copy)]
pub(super) struct Options {
    pub(super) crlf: bool,
    pub(super) mark: bool,
    /// Anchors with any characters, and empty keys without `?`: YAML allows both, few expect them.
    pub(super) rare_forms: bool,
}

impl Options {
    pub(super) fn for_seed(seed: u64) -> Self {
        Self {
            crlf: seed.is_multiple_of(3),
            mark: seed.is_multiple_of(5),
            rare_forms: seed.is_multiple_of(2),
        }
    }
}

/// One node as the tree must show it.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Wanted {
    pub(super) kind: Kind,
    pub(super) range: Range<usize>,
    pub(super) text: String,
    pub(super) flow: bool,
    pub(super) tag: Option<String>,
    /// What an alias stands for.
    pub(super) target: Option<usize>,
}

pub(super) struct Written {
    pub(super) text: String,
    pub(super) nodes: Vec<Wanted>,
    pub(super) documents: usize,
}

/// Where a value is written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    /// At the start of a document.
    Root,
    /// After `- `.
    Item,
    /// After `? `; never empty and never the same twice, since keys must differ.
    Key,
    /// After a colon.
    Value,
}

pub(super) struct Writer {
    random: Random,
    options: Options,
    text: String,
    nodes: Vec<Wanted>,
    /// Names of finished anchors of this document, with their nodes.
    anchors: Vec<(String, usize)>,
    /// End of the last token that belongs to a node.
    last_end: usize,
    count: usize,
    aliases: usize,
    /// Blank lines would become part of the text just written.
    keeps_blank_lines: bool,
}

impl Writer {
    /// The same text for the same seed.
    pub(super) fn write(seed: u64, options: Options) -> Written {
        let mut writer = Self {
            random: Random::new(seed + 1),
            options,
            text: String::from(if options.mark { "\u{feff}" } else { "" }),
            nodes: Vec::new(),
            anchors: Vec::new(),
            last_end: 0,
            count: 0,
            aliases: 0,
            keeps_blank_lines: false,
        };
        let documents = 1 + writer.random.below(3) / 2 * writer.random.below(3);
        for number in 0..documents {
            writer.document(number == 0);
        }
        Written {
            text: writer.text,
            nodes: writer.nodes,
            documents,
        }
    }

    fn document(&mut self, first: bool) {
        self.anchors.clear();
        self.notes(0);
        if first && self.random.one_in(2) {
            self.mapping(0, 3);
        } else {
            self.text.push_str("---");
            self.last_end = self.text.len();
            self.value(-1, 3, Place::Root);
        }
        if self.random.one_in(4) {
            self.text.push_str("...");
            self.newline();
        }
    }

    /// Writes a value after its `:`, `-`, `?` or `---`, up to the end of the line. `column` is that
    /// of the collection around it.
    fn value(&mut self, column: isize, depth: usize, place: Place) {
        let simple = depth == 0;
        match self.random.below(if simple { 7 } else { 12 }) {
            0 if place != Place::Key => self.empty(),
            1 if place != Place::Key && !self.anchors.is_empty() => {
                self.text.push(' ');
                self.alias();
            }
            2 => self.block_text(column),
            3 => self.lines(column, None),
            4 => self.lines(column, Some('\'')),
            0 | 1 | 5 | 6 => {
                self.text.push(' ');
                self.with_properties(true, |writer| writer.word(false));
            }
            7 => {
                self.text.push(' ');
                self.with_properties(false, |writer| writer.flow(column, depth - 1));
            }
            8 if matches!(place, Place::Item | Place::Key) => {
                self.text.push(' ');
                return self.collection(column + 2, depth - 1, place);
            }
            _ => return self.collection_below(column, depth - 1, place),
        }
        self.end_of_line();
    }

    fn collection(&mut self, column: isize, depth: usize, place: Place) {
        let column = column.unsigned_abs();
        if self.random.one_in(2) {
            self.mapping(column, depth);
        } else {
            self.list(column, depth, place);
        }
    }

    /// A collection on the lines below, perhaps with its list in the column of the key.
    fn collection_below(&mut self, column: isize, depth: usize, place: Place) {
        let tag = self.random.below(2);
        let level = place == Place::Value && tag == 0 && self.random.one_in(2);
        let deeper = column
            + if level {
                0
            } else {
                1 + self.random.below(3) as isize
            };
        let deeper = deeper.unsigned_abs();
        self.with_anchor_and_tag(["!!seq", "!!map"][tag], true, |writer| {
            writer.end_of_line();
            writer.notes(deeper);
            writer.indent(deeper);
            match tag {
                0 => writer.list(deeper, depth, place),
                _ => writer.mapping(deeper, depth),
            }
        });
    }

    fn list(&mut self, column: usize, depth: usize, place: Place) {
        let id = self.open(Kind::List, false);
        for number in 0..1 + self.random.below(3) {
            if number > 0 {
                self.notes(column);
                self.indent(column);
            }
            self.text.push('-');
            self.last_end = self.text.len();
            if number == 0 && place == Place::Key {
                self.text.push(' ');
                self.word(false);
                self.end_of_line();
            } else {
                self.value(column as isize, depth, Place::Item);
            }
        }
        self.close(id);
    }

    fn mapping(&mut self, column: usize, depth: usize) {
        let id = self.open(Kind::Mapping, false);
        let mut alias_used = false;
        for number in 0..1 + self.random.below(4) {
            if number > 0 {
                self.notes(column);
                self.indent(column);
            }
            match self.random.below(12) {
                0 | 1 => {
                    self.explicit_entry(column, depth);
                    continue;
                }
                2 if number == 0 && self.options.rare_forms && self.at_line_start() => {
                    self.node(Kind::Empty, self.text.len(), "", None)
                }
                3 if !alias_used && self.scalar_anchor().is_some() => {
                    alias_used = true;
                    let target = self.scalar_anchor().unwrap_or_default();
                    self.alias_to(target);
                    self.text.push(' ');
                }
                _ => self.word(false),
            }
            self.text.push(':');
            self.last_end = self.text.len();
            self.value(column as isize, depth, Place::Value);
        }
        self.close(id);
    }

    /// `? key`, and on the next line `: value` or nothing.
    fn explicit_entry(&mut self, column: usize, depth: usize) {
        self.text.push('?');
        let key = self.nodes.len();
        self.value(column as isize, depth, Place::Key);
        // An alias to this key could become the same key again.
        self.anchors.retain(|&(_, id)| id != key);
        if self.random.one_in(4) {
            self.node(Kind::Empty, self.last_end, "", None);
            return;
        }
        self.notes(column);
        self.indent(column);
        self.text.push(':');
        self.last_end = self.text.len();
        self.value(column as isize, depth, Place::Value);
    }

    fn flow(&mut self, column: isize, depth: usize) {
        if self.random.one_in(2) {
            let id = self.open(Kind::List, true);
            self.text.push('[');
            self.word(true);
            for _ in 0..self.random.below(4) {
                self.comma(column);
                self.flow_item(column, depth);
            }
            self.text.push_str([" ]", "]"][self.random.below(2)]);
            self.bracket_close(id);
        } else {
            let id = self.open(Kind::Mapping, true);
            self.text.push('{');
            self.flow_pair(column, depth);
            for _ in 0..self.random.below(4) {
                self.comma(column);
                self.flow_pair(column, depth);
            }
            self.text.push_str([" }", "}"][self.random.below(2)]);
            self.bracket_close(id);
        }
    }

    fn flow_item(&mut self, column: isize, depth: usize) {
        match self.random.below(6) {
            0 if depth > 0 => self.flow(column, depth - 1),
            1 => {
                let id = self.open(Kind::Mapping, true);
                self.word(true);
                self.colon_and_value(column, depth);
                self.close(id);
            }
            2 if !self.anchors.is_empty() => self.alias(),
            _ => self.with_properties(true, |writer| writer.word(true)),
        }
    }

    fn flow_pair(&mut self, column: isize, depth: usize) {
        if self.random.one_in(5) {
            self.text.push_str("? ");
        }
        self.word(true);
        if self.random.one_in(5) {
            self.node(Kind::Empty, self.text.len(), "", None);
        } else {
            self.colon_and_value(column, depth);
        }
    }

    fn colon_and_value(&mut self, column: isize, depth: usize) {
        self.text.push(':');
        self.last_end = self.text.len();
        if self.random.one_in(5) {
            self.node(Kind::Empty, self.text.len(), "", None);
            self.text.push(' ');
        } else {
            self.text.push(' ');
            match self.random.below(4) {
                0 if depth > 0 => self.flow(column, depth - 1),
                1 if !self.anchors.is_empty() => self.alias(),
                _ => self.word(true),
            }
        }
    }

    /// A comma, perhaps with a comment and a new line.
    fn comma(&mut self, column: isize) {
        self.text.push_str([", ", " , "][self.random.below(2)]);
        if self.random.one_in(5) {
            self.end_of_line();
            self.indent(column.unsigned_abs() + 2);
        }
    }

    /// One word, plain or quoted, unlike any other of the text.
    fn word(&mut self, flow: bool) {
        self.count += 1;
        let count = self.count;
        let word = self.random.pick(WORDS);
        let lo = self.text.len();
        match self.random.below(6) {
            0 => {
                let decoded = format!("{word} {count}: [x], ");
                self.text.push('\'');
                self.text.push_str(&decoded.replace('\'', "''"));
                self.text.push('\'');
                self.node(Kind::Quoted, lo, &decoded, None);
            }
            1 => {
                self.text
                    .push_str(&format!("\"{word}\\t\\u00e9{count} #\""));
                self.node(Kind::Quoted, lo, &format!("{word}\té{count} #"), None);
            }
            _ => {
                let decoded = if flow {
                    format!("{word}-{count}")
                } else {
                    format!("{word} , ]{count}")
                };
                self.text.push_str(&decoded);
                self.node(Kind::Plain, lo, &decoded, None);
            }
        }
    }

    /// Text over two or three lines, plain or in the given quotes.
    fn lines(&mut self, column: isize, quote: Option<char>) {
        self.text.push(' ');
        self.count += 1;
        let count = self.count;
        let blank_line = self.random.one_in(3);
        self.with_properties(true, |writer| {
            let lo = writer.text.len();
            writer.text.extend(quote);
            writer.text.push_str("first");
            writer.newline();
            if blank_line {
                writer.newline();
            }
            writer.indent(column.unsigned_abs() + 2);
            writer.text.push_str(&format!("second-{count}"));
            writer.text.extend(quote);
            let kind = if quote.is_some() {
                Kind::Quoted
            } else {
                Kind::Plain
            };
            let fold = if blank_line { '\n' } else { ' ' };
            writer.node(kind, lo, &format!("first{fold}second-{count}"), None);
        });
    }

    fn block_text(&mut self, column: isize) {
        self.text.push(' ');
        self.count += 1;
        let count = self.count;
        let fold = self.random.one_in(2);
        let (mark, end) = [("", "\n"), ("-", ""), ("+", "\n")][self.random.below(3)];
        self.with_properties(true, |writer| {
            let lo = writer.text.len();
            writer.text.push(if fold { '>' } else { '|' });
            writer.text.push_str(mark);
            writer.end_of_line();
            writer.indent(column.unsigned_abs() + 2);
            writer.text.push_str("one - # |");
            writer.newline();
            writer.indent(column.unsigned_abs() + 2);
            writer.text.push_str(&format!("two: {count}"));
            let join = if fold { ' ' } else { '\n' };
            writer.node(
                Kind::Block,
                lo,
                &format!("one - # |{join}two: {count}{end}"),
                None,
            );
            writer.keeps_blank_lines = mark == "+";
        });
    }

    fn empty(&mut self) {
        let at = self.text.len();
        let bare = self.random.one_in(2);
        if bare {
            return self.node(Kind::Empty, at, "", None);
        }
        self.with_anchor_and_tag("!!str", true, |writer| {
            writer.node(Kind::Empty, writer.text.len(), "", None);
        });
    }

    fn alias(&mut self) {
        let target = self.random.below(self.anchors.len());
        self.alias_to(target);
    }

    fn alias_to(&mut self, target: usize) {
        let (name, id) = self.anchors[target].clone();
        let lo = self.text.len();
        self.aliases += 1;
        self.text.push_str(&format!("*{name}"));
        self.node(Kind::Alias, lo, "", Some(id));
    }

    /// An anchor of one word: the only ones used as keys, since they differ from all others.
    fn scalar_anchor(&self) -> Option<usize> {
        let scalar = |(_, id): &(String, usize)| {
            matches!(
                self.nodes[*id].kind,
                Kind::Plain | Kind::Quoted | Kind::Block
            )
        };
        self.anchors.iter().position(scalar)
    }

    /// Writes a node after an optional anchor and, for a scalar, a tag.
    fn with_properties(&mut self, scalar: bool, node: impl FnOnce(&mut Self)) {
        self.with_anchor_and_tag(if scalar { "!!str" } else { "" }, false, node);
    }

    /// `leading`: the blank goes before each property and not after it.
    fn with_anchor_and_tag(&mut self, tag: &str, leading: bool, node: impl FnOnce(&mut Self)) {
        let mut anchor = None;
        let mut tagged = None;
        let anchor_first = self.random.one_in(2);
        for is_anchor in [anchor_first, !anchor_first] {
            if !self.random.one_in(5) || (!is_anchor && tag.is_empty()) {
                continue;
            }
            self.text.push_str(if leading { " " } else { "" });
            if is_anchor {
                self.count += 1;
                let odd = if self.options.rare_forms { "-|>" } else { "-" };
                let name = format!("n{odd}{}", self.count);
                self.text.push_str(&format!("&{name}"));
                anchor = Some(name);
            } else {
                self.text.push_str(tag);
                tagged = Some(tag.to_owned());
            }
            self.text.push_str(if leading { "" } else { " " });
        }
        let id = self.nodes.len();
        let aliases = self.aliases;
        node(self);
        self.nodes[id].tag = tagged;
        // Only nodes without aliases are referred to, or the other reader would grow too large.
        let plain = aliases == self.aliases;
        self.anchors
            .extend(anchor.filter(|_| plain).map(|name| (name, id)));
    }

    /// Notes a node that ends where the text ends.
    fn node(&mut self, kind: Kind, lo: usize, text: &str, target: Option<usize>) {
        let hi = if kind == Kind::Empty {
            lo
        } else {
            self.text.len()
        };
        self.last_end = hi;
        self.nodes.push(Wanted {
            kind,
            range: lo..hi,
            text: text.to_owned(),
            flow: false,
            tag: None,
            target,
        });
    }

    fn open(&mut self, kind: Kind, flow: bool) -> usize {
        let lo = self.text.len();
        self.node(kind, lo, "", None);
        let id = self.nodes.len() - 1;
        self.nodes[id].flow = flow;
        id
    }

    fn bracket_close(&mut self, id: usize) {
        self.last_end = self.text.len();
        self.close(id);
    }

    fn close(&mut self, id: usize) {
        self.nodes[id].range.end = self.last_end;
    }

    /// Blank lines and comments between entries.
    fn notes(&mut self, column: usize) {
        if self.random.one_in(6) && !self.keeps_blank_lines {
            self.newline();
        }
        if self.random.one_in(6) {
            self.indent(column);
            self.comment();
            self.newline();
        }
        self.keeps_blank_lines = false;
    }

    fn end_of_line(&mut self) {
        if self.random.one_in(5) && !self.ends_with_block_text() {
            self.text.push(' ');
            self.comment();
        }
        self.newline();
    }

    /// After the text of a block scalar, `#` would be a part of it.
    fn ends_with_block_text(&self) -> bool {
        let last = self.nodes.last();
        last.is_some_and(|node| node.kind == Kind::Block && node.range.end == self.text.len())
    }

    fn comment(&mut self) {
        let words = self.random.pick(COMMENTS);
        self.text.push_str("# ");
        self.text.push_str(words);
    }

    fn at_line_start(&self) -> bool {
        let line = self.text.rsplit('\n').next().unwrap_or_default();
        line.trim_start_matches([' ', '\u{feff}']).is_empty()
    }

    fn indent(&mut self, column: usize) {
        self.text.extend(std::iter::repeat_n(' ', column));
    }

    fn newline(&mut self) {
        self.text
            .push_str(if self.options.crlf { "\r\n" } else { "\n" });
    }
}
