//! Plain text for people.

use super::Written;
use super::escape::Escape;
use super::harm::{
    STAND_IN, begins_a_command, ends_a_command_mark, hides, is_break, looked_at, one_line,
};
use super::wrap::columns;

/// Plain text for people: a terminal, the log of a build server, a pop-up of an editor. Nothing in it
/// steers a terminal or turns the direction of writing, and no line is a command to a build server.
///
/// ```compile_fail
/// use cordwright::ink::{Plain, Written};
/// let name = String::from("\u{1b}[2J");
/// Written::<Plain>::new().ours("cord ").ours(&name);
/// ```
///
/// ```compile_fail
/// let name = String::from("\u{1b}[2J");
/// cordwright::host::tell(&name);
/// ```
///
/// ```
/// use cordwright::ink::{Plain, Written};
/// let name = String::from("\u{1b}[2J");
/// let text = Written::<Plain>::of(&name);
/// assert_eq!(text.as_str(), "?[2J");
/// cordwright::host::tell(&text);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Plain;

/// How our own words are spelt where only ASCII can be read.
const SPELLINGS: [(char, &str); 34] = [
    ('×', "x"),
    ('÷', "/"),
    ('·', "*"),
    ('²', "2"),
    ('³', "3"),
    ('Ω', "ohm"),
    ('\u{2126}', "ohm"),
    ('°', ""),
    ('–', "-"),
    ('—', "-"),
    ('−', "-"),
    ('‑', "-"),
    ('≤', "<="),
    ('≥', ">="),
    ('≈', "~"),
    ('≠', "!="),
    ('√', "sqrt"),
    ('±', "+/-"),
    ('→', "->"),
    ('←', "<-"),
    ('…', "..."),
    ('‘', "'"),
    ('’', "'"),
    ('“', "\""),
    ('”', "\""),
    ('µ', "u"),
    ('μ', "u"),
    ('Δ', "delta "),
    ('φ', "phi"),
    ('∑', "sum "),
    ('½', "1/2"),
    ('\u{a0}', " "),
    ('\u{202f}', " "),
    ('\u{2009}', " "),
];

/// How a character of our own words is spelt in ASCII; `None` for one that is none of them.
pub(super) fn spelling(c: char) -> Option<&'static str> {
    let found = SPELLINGS.iter().find(|(from, _)| *from == c);
    found.map(|(_, to)| *to)
}

impl Escape for Plain {
    fn put(text: &str, written: &mut String) {
        put_without_commands(&one_line(text), written);
    }
}

/// Adds a text on one line, in which no word that may come to begin a line is a command to a build
/// server, and no other part of it either.
pub(super) fn put_without_commands(text: &str, written: &mut String) {
    if !text.contains([':', '#']) {
        return written.push_str(text);
    }
    for (at, c) in text.char_indices() {
        let rest = &text[at..];
        let begins_word = written.is_empty() || written.ends_with(char::is_whitespace);
        let is_command =
            begins_word && begins_a_command(rest) || ends_a_command_mark(written, rest);
        written.push(if is_command { STAND_IN } else { c });
    }
}

impl Written<Plain> {
    /// Several lines that came from outside.
    pub fn lines_of(text: &str) -> Self {
        let mut written = Self::new();
        for (number, line) in text.lines().enumerate() {
            if number > 0 {
                written.ours("\n");
            }
            written.theirs(line);
        }
        written
    }

    /// A line of a file that stands behind its number, so that it begins no command. Every harmful
    /// character is replaced by as many `?` as it has bytes, and what ends a line or moves by blanks: no
    /// byte moves.
    pub fn of_source(line: &str) -> Self {
        let mut text = String::with_capacity(line.len());
        for (at, c, harms) in looked_at(line) {
            let instead = if is_break(c) { ' ' } else { STAND_IN };
            match harms || ends_a_command_mark(&text, &line[at..]) {
                true => text.extend(std::iter::repeat_n(instead, c.len_utf8())),
                false => text.push(c),
            }
        }
        Self::made(text)
    }

    /// The help that the library of arguments makes of our own words; no word of a command line is
    /// in it.
    pub fn help(text: &clap::builder::StyledStr, is_coloured: bool) -> Self {
        Self::made(match is_coloured {
            true => text.ansi().to_string(),
            false => text.to_string(),
        })
    }

    /// The part of a text between two of its bytes; nothing where there is none.
    pub fn part(&self, bytes: std::ops::Range<usize>) -> Self {
        Self::made(self.text.get(bytes).unwrap_or_default().to_owned())
    }

    /// Our own words spelt in ASCII unless more can be shown. Names out of the user's files that hold
    /// other letters are left as they are.
    pub fn spelt(self, unicode: bool) -> Self {
        if unicode || self.text.is_ascii() {
            return self;
        }
        let mut spelt = String::with_capacity(self.text.len());
        for c in self.text.chars() {
            match spelling(c) {
                Some(to) => spelt.push_str(to),
                // What joined or varied a sign of ours has lost it.
                None if hides(c, spelt.chars().next_back().unwrap_or(' ')) => {
                    spelt.push(STAND_IN);
                }
                None => spelt.push(c),
            }
        }
        Self::made(spelt)
    }

    /// Adds blanks.
    pub fn blanks(&mut self, count: usize) -> &mut Self {
        self.text.extend(std::iter::repeat_n(' ', count));
        self
    }

    /// Adds a text and blanks behind it, up to so many columns.
    pub fn filled(&mut self, text: &Self, width: usize) -> &mut Self {
        self.push(text)
            .blanks(width.saturating_sub(columns(text.as_str())))
    }

    /// Adds blanks, and a text that ends after so many columns.
    pub fn to_the_right(&mut self, text: &Self, width: usize) -> &mut Self {
        self.blanks(width.saturating_sub(columns(text.as_str())))
            .push(text)
    }

    /// Without blanks at its end.
    pub fn trimmed(mut self) -> Self {
        self.text.truncate(self.text.trim_end_matches(' ').len());
        self
    }
}
