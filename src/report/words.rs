//! Words made fit to be shown: harmless, wrapped, and in ASCII where nothing else can be read.

use std::borrow::Cow;

use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};
use unicode_width::UnicodeWidthChar;

use crate::finding::{Finding, Since, Verdict};

/// Units that stay on one line with their number.
const UNITS: [&str; 29] = [
    "A", "mA", "kA", "V", "mV", "kV", "W", "kW", "VA", "kVA", "m", "cm", "mm", "mm²", "mm2", "ft",
    "in", "AWG", "U", "Hz", "%", "°C", "°F", "C", "Ω", "mΩ", "ohm", "s", "ms",
];

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

/// Whether a character may do more to a terminal, an editor or a reader than show itself: controls,
/// writing-direction overrides, and what is invisible by design. Joiners stay: scripts need them.
pub(super) fn is_harmful(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{61c}' | '\u{180e}' | '\u{200b}' | '\u{200e}' | '\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{fff9}'..='\u{fffb}' | '\u{feff}' | '\u{e0000}'..='\u{e007f}')
}

/// `text` on one line, every harmful character replaced by a blank (line ends, tabs) or a `?`.
pub(crate) fn one_line(text: &str) -> Cow<'_, str> {
    if !text.contains(is_harmful) {
        return Cow::Borrowed(text);
    }
    let text = text.replace("\r\n", "\n");
    let shown = text.chars().map(|c| match c {
        '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => ' ',
        c if is_harmful(c) => '?',
        c => c,
    });
    Cow::Owned(shown.collect())
}

/// Our own words, harmless, and spelt in ASCII unless more can be shown. Names out of the user's
/// files that hold other letters are left as they are.
pub(crate) fn spelt(text: &str, unicode: bool) -> String {
    let text = one_line(text);
    if unicode || text.is_ascii() {
        return text.into_owned();
    }
    let mut spelt = String::with_capacity(text.len());
    for c in text.chars() {
        match SPELLINGS.iter().find(|(from, _)| *from == c) {
            Some((_, to)) => spelt.push_str(to),
            None => spelt.push(c),
        }
    }
    spelt
}

/// Text made harmless for HTML and SVG: names are words, and never a part of the page's own marks.
pub(crate) fn in_markup(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in one_line(text).chars() {
        match c {
            '&' => shown.push_str("&amp;"),
            '<' => shown.push_str("&lt;"),
            '>' => shown.push_str("&gt;"),
            '"' => shown.push_str("&quot;"),
            // Not allowed in any document (XML 1.0).
            '\u{fffe}' | '\u{ffff}' => shown.push('?'),
            c => shown.push(c),
        }
    }
    shown
}

/// Columns that `text` takes on a terminal, counted as the drawing library counts them.
pub(crate) fn columns(text: &str) -> usize {
    text.chars().map(char_columns).sum()
}

/// Columns that one character takes on a terminal.
pub(super) fn char_columns(c: char) -> usize {
    c.width().unwrap_or(0)
}

/// `text` in lines of at most `width` columns, numbers kept with their units.
pub(crate) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let options = Options::new(width.max(10))
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    let text = glued(text);
    let lines = textwrap::wrap(&text, options);
    lines.iter().map(|line| line.replace(GLUE, " ")).collect()
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

/// What stands before a headline: the level, or that the point is not decided.
pub(super) fn heading(finding: &Finding) -> &'static str {
    match finding.verdict {
        Verdict::Open => "not decided",
        Verdict::Broken => finding.level.word(),
    }
}

/// What follows a finding's places, a heading and a line each.
pub(super) fn rows(finding: &Finding) -> Vec<(&'static str, String)> {
    let working = finding.arithmetic.iter().cloned();
    let source = finding.basis.iter().map(ToString::to_string);
    let advice = Some(finding.remedy.advice.clone()).filter(|advice| !advice.is_empty());
    let mut rows: Vec<_> = working.map(|line| ("Working", line)).collect();
    rows.extend(since(finding));
    rows.extend(source.map(|line| ("Source", line)));
    rows.extend(advice.map(|line| ("Put right", line)));
    rows
}

/// How a finding stands to an earlier state, where there is more to say than that it is new.
fn since(finding: &Finding) -> Option<(&'static str, String)> {
    match (finding.since, finding.measure) {
        (Since::Worse(then), Some(now)) => Some((
            "Worse",
            format!("{} before, {} now", then.show(), now.show()),
        )),
        (Since::New, _) if !finding.sufferers.is_empty() => {
            let names: Vec<&str> = finding.sufferers.iter().map(|name| name.as_str()).collect();
            Some(("New at", names.join(", ")))
        }
        _ => None,
    }
}

/// `1 cord`, `2 cords`: a count and its noun.
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// `a, b and c`.
pub(super) fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harmful_characters_never_survive() {
        assert_eq!(one_line("a\u{1b}[31mb\r\nc\td"), "a?[31mb c d");
        assert_eq!(one_line("W\u{202e}-1\u{7f}"), "W?-1?");
        assert_eq!(one_line("naïve ligature ﬁ"), "naïve ligature ﬁ");
    }

    #[test]
    fn ascii_spelling_keeps_names() {
        let text = "420 W ÷ (207 V × 0.97) ≤ 10 A at 30 °C over 1.5 mm² in Løkka";
        assert_eq!(spelt(text, true), text);
        assert_eq!(
            spelt(text, false),
            "420 W / (207 V x 0.97) <= 10 A at 30 C over 1.5 mm2 in Løkka"
        );
    }

    #[test]
    fn numbers_stay_with_their_units() {
        let lines = wrapped("The cord carries 12.4 A, far above what it bears.", 21);
        assert_eq!(
            lines,
            ["The cord carries", "12.4 A, far above", "what it bears."]
        );
    }

    #[test]
    fn wide_characters_count_double() {
        assert_eq!(columns("電源"), 4);
        let lines = wrapped("電源電源 電源電源 電源電源", 18);
        assert_eq!(lines, ["電源電源 電源電源", "電源電源"]);
    }

    #[test]
    fn lists_read_as_english() {
        let parts: Vec<String> = ["a", "b", "c"].map(String::from).to_vec();
        assert_eq!(listed(&parts), "a, b and c");
        assert_eq!(listed(&parts[..2]), "a and b");
        assert_eq!(listed(&[]), "");
        assert_eq!(count(1, "cord", "cords"), "1 cord");
        assert_eq!(count(0, "cord", "cords"), "0 cords");
    }
}
