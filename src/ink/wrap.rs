//! Plain text in lines, by the columns that a terminal gives it.

use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};
use unicode_width::UnicodeWidthChar;

use super::Written;
use super::harm::{STAND_IN, begins_a_command};
use super::plain::Plain;

/// Units that stay on one line with their number.
const UNITS: [&str; 29] = [
    "A", "mA", "kA", "V", "mV", "kV", "W", "kW", "VA", "kVA", "m", "cm", "mm", "mm²", "mm2", "ft",
    "in", "AWG", "U", "Hz", "%", "°C", "°F", "C", "Ω", "mΩ", "ohm", "s", "ms",
];

/// Columns that `text` takes on a terminal, counted as the drawing library counts them.
pub fn columns(text: &str) -> usize {
    text.chars().map(columns_of).sum()
}

/// Columns that one character takes on a terminal.
pub fn columns_of(c: char) -> usize {
    c.width().unwrap_or(0)
}

/// `text` in lines of at most `width` columns, numbers kept with their units.
pub fn wrapped(text: &Written<Plain>, width: usize) -> Vec<Written<Plain>> {
    let options = Options::new(width.max(10))
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    let text = glued(text.as_str());
    let lines = textwrap::wrap(&text, options);
    let lines = lines.iter().map(|line| line.replace(GLUE, " "));
    lines
        .map(|line| Written::made(without_command(line)))
        .collect()
}

/// A line that is no command to a build server, even where a long word was broken before it.
pub(super) fn without_command(mut line: String) -> String {
    let at = line.len() - line.trim_start().len();
    if begins_a_command(&line[at..]) {
        line.replace_range(at..=at, STAND_IN.encode_utf8(&mut [0; 4]));
    }
    line
}

/// Stands for a blank that no line may break at; never left in a result.
const GLUE: char = '\u{a0}';

/// `text` with the blank between a number and its unit made unbreakable.
fn glued(text: &str) -> String {
    let mut glued = String::with_capacity(text.len());
    let mut after_number = false;
    for word in text.split(' ') {
        let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
        if !glued.is_empty() {
            let unit = after_number && UNITS.contains(&bare);
            glued.push(if unit { GLUE } else { ' ' });
        }
        glued.push_str(word);
        after_number = word.ends_with(|c: char| c.is_ascii_digit());
    }
    glued
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str, width: usize) -> Vec<String> {
        let lines = wrapped(&Written::of(text), width).into_iter();
        lines.map(Written::into_string).collect()
    }

    #[test]
    fn numbers_stay_with_their_units() {
        assert_eq!(
            lines("The cord carries 12.4 A, far above what it bears.", 21),
            ["The cord carries", "12.4 A, far above", "what it bears."]
        );
    }

    #[test]
    fn wide_characters_count_double() {
        assert_eq!(columns("電源"), 4);
        let text = "電源電源 電源電源 電源電源";
        assert_eq!(lines(text, 18), ["電源電源 電源電源", "電源電源"]);
    }

    #[test]
    fn a_word_that_is_broken_makes_no_command() {
        assert_eq!(
            lines("twelve-chars::error::gone", 12),
            ["twelve-chars", "?:error::gon", "e"]
        );
        // A random test met this one: a letter of any script begins a name.
        let text = "\u{ccd}a\u{1d400}!!\u{e8c}0\u{a1}0A\u{11c30}\u{a1}0\u{b2}::\u{1bc90}";
        for width in 10..30 {
            let begins = |line: &String| line.trim_start().starts_with("::");
            assert!(!lines(text, width).iter().any(begins), "{width}");
        }
    }
}
