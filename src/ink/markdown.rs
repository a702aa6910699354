//! Markdown: names are words there, whatever marks they hold.

use super::Written;
use super::escape::Escape;
use super::harm::{STAND_IN, one_line};

/// Markdown as CommonMark and its common additions have it: tables, formulas, bare addresses. Names
/// make no link, no picture, no code, no HTML and no new block; a table's cell stays one.
///
/// ```compile_fail
/// use cordwright::ink::{Markdown, Written};
/// let name = String::from("![](https://example.org)");
/// Written::<Markdown>::new().ours("| ").ours(&name).ours(" |");
/// ```
///
/// ```
/// use cordwright::ink::{Markdown, Written};
/// let name = String::from("a|b [c](d)");
/// let mut row = Written::<Markdown>::new();
/// row.ours("| ").theirs(&name).ours(" |");
/// assert_eq!(row.as_str(), r"| a\|b \[c\](d) |");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Markdown;

impl Escape for Markdown {
    fn put(text: &str, written: &mut String) {
        let text = one_line(text);
        // A bare address is a link wherever it stands, but not in code. There, a bar could end the
        // cell of a table, whatever stands before it.
        if may_be_an_address(&text) {
            return put_code(
                &text.replace('|', STAND_IN.encode_utf8(&mut [0; 4])),
                written,
            );
        }
        let begins_line = written.is_empty() || written.ends_with('\n');
        let text = if begins_line {
            text.trim_start()
        } else {
            &*text
        };
        for (at, c) in text.char_indices() {
            if has_meaning(c) || begins_line && begins_a_block(&text[..at], c) {
                written.push('\\');
            }
            written.push(c);
        }
    }
}

impl Written<Markdown> {
    /// Adds a block of lines as they are, in a fence that is longer than any in it.
    pub(super) fn fenced(&mut self, lines: &[String]) {
        let lines: Vec<_> = lines.iter().map(|line| one_line(line)).collect();
        let longest = lines.iter().map(|line| longest_run(line)).max();
        let fence = "`".repeat(longest.unwrap_or(0).max(2) + 1);
        self.text.push_str(&fence);
        self.text.push_str("text\n");
        for line in lines {
            self.text.push_str(&line);
            self.text.push('\n');
        }
        self.text.push_str(&fence);
    }
}

fn may_be_an_address(text: &str) -> bool {
    let text = text.to_ascii_lowercase();
    ["@", "://", "www."].iter().any(|mark| text.contains(mark))
}

/// What means something to Markdown in the middle of a line.
fn has_meaning(c: char) -> bool {
    matches!(
        c,
        '\\' | '|' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '~' | '&' | '$'
    )
}

/// Whether a character begins or makes a block when only `before` stands before it on the line: a list,
/// a rule, an underlined heading.
fn begins_a_block(before: &str, c: char) -> bool {
    match c {
        '-' | '+' | '=' => before.is_empty(),
        '.' | ')' => !before.is_empty() && before.bytes().all(|byte| byte.is_ascii_digit()),
        _ => false,
    }
}

/// Adds a text as code, between more backquotes than any in it.
fn put_code(text: &str, written: &mut String) {
    let marks = "`".repeat(longest_run(text) + 1);
    // A blank at both ends is taken off again, and keeps backquotes apart from the marks.
    for part in [&marks, " ", text, " ", &marks] {
        written.push_str(part);
    }
}

/// The length of the longest run of backquotes.
fn longest_run(text: &str) -> usize {
    text.split(|c| c != '`').map(str::len).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> String {
        Written::<Markdown>::of(text).into_string()
    }

    #[test]
    fn what_begins_a_block_does_so_at_the_start_of_a_line_only() {
        assert_eq!(words("- a"), r"\- a");
        assert_eq!(words("  + a"), r"\+ a");
        assert_eq!(words("12. a"), r"12\. a");
        assert_eq!(words("1.5 mm²"), r"1\.5 mm²");
        assert_eq!(words("==="), r"\===");
        let mut line = Written::<Markdown>::new();
        line.ours("## ").theirs("- 1. W-1");
        assert_eq!(line.as_str(), "## - 1. W-1");
    }

    #[test]
    fn addresses_are_code_and_backquotes_cannot_end_it() {
        assert_eq!(words("www.example.org"), "` www.example.org `");
        assert_eq!(words("a@b.org ``` x"), "```` a@b.org ``` x ````");
        assert_eq!(words("http://a|b"), "` http://a?b `");
    }
}
