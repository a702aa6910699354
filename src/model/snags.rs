//! The snag list: findings that a site accepts as known, so that only new ones fail a run.
//!
//! A line holds one of them: its fingerprint, the level at which it was accepted, where it is about a
//! number that number against its limit, its rule, and the things that it is about. `#` begins a
//! remark. The order of lines means nothing.
//!
//! ```text
//! 0123456789abcdef error   95A/80A conductor-underrated W-0412, pump-01
//! ```

use crate::ink::{Plain, Written};
use crate::source::{FileId, Span};

use super::Fragment;
use super::fault::{Fault, Noted};
use super::signed::Signed;
use super::site::LevelWord;
use super::value::{Name, Spanned};

/// What leads to a fault of the list, in place of a section's name.
pub const SNAGS: &str = "snags";

/// A finding accepted as known.
#[derive(Clone, Debug, PartialEq)]
pub struct Snag {
    /// Names the fault, as every output does.
    pub fingerprint: Name,
    /// The gravest level that is accepted.
    pub level: LevelWord,
    /// The value at which it was accepted, and the limit of that time. Lines of an earlier release
    /// have none, and accept any.
    pub signed: Option<Signed>,
    /// The rule, by the name it had when the line was written.
    pub rule: Spanned<Name>,
    /// What it is about, as [`things`] writes it.
    pub things: Name,
}

/// Names of things as the list writes them: on one line, with single blanks, and harmless.
pub fn things<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.into_iter().collect();
    let words = names.join(", ");
    let words: Vec<&str> = words.split_whitespace().collect();
    let mut harmless = Written::<Plain>::new();
    harmless.whole(&words.join(" "));
    harmless.into_string()
}

/// Reads the list. A line that says nothing clear accepts nothing, and is a fault.
pub fn read(file: FileId, text: &str) -> Fragment {
    let mut fragment = Fragment::default();
    let mut lo = 0;
    for line in text.split_inclusive('\n') {
        let at = Span::new(file, lo, lo + line.trim_end().len());
        lo += line.len();
        let words = line.trim_start_matches('\u{feff}').trim();
        if words.is_empty() || words.starts_with('#') {
            continue;
        }
        match snag(at, line) {
            Some(value) => fragment.snags.push(Spanned { value, span: at }),
            None => fragment.faults.push(unclear(at)),
        }
    }
    fragment
}

fn snag(at: Span, line: &str) -> Option<Snag> {
    let mut words = line.split_whitespace();
    let fingerprint = words.next().filter(|word| is_fingerprint(word))?;
    let level = level(words.next()?)?;
    let (signed, rule) = match words.next()? {
        word if word.starts_with(|c: char| c.is_ascii_digit()) => {
            (Some(Signed::of_word(word)?), words.next()?)
        }
        rule => (None, rule),
    };
    let lo = at.lo as usize + line.find(rule)?;
    let rest: Vec<&str> = words.collect();
    Some(Snag {
        fingerprint: fingerprint.into(),
        level,
        signed,
        rule: Spanned {
            value: rule.into(),
            span: Span::new(at.file, lo, lo + rule.len()),
        },
        things: rest.join(" ").into(),
    })
}

fn is_fingerprint(word: &str) -> bool {
    let is_digit = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    word.len() == 16 && word.bytes().all(is_digit)
}

fn level(word: &str) -> Option<LevelWord> {
    let levels = [LevelWord::Error, LevelWord::Warning, LevelWord::Note];
    levels.into_iter().find(|level| level.word() == word)
}

fn unclear(at: Span) -> Noted {
    let fault = Fault::Unreadable {
        span: at,
        message: "A line of the snag list cannot be read, so it accepts no finding.".to_owned(),
        advice: "Take the line out and let `cordwright snags` write the list; a line holds a \
                 fingerprint, a level, a rule and what it is about."
            .to_owned(),
        related: None,
    };
    Noted::new(fault, [SNAGS.into()])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_text(text: &str) -> Fragment {
        read(FileId(0), text)
    }

    #[test]
    fn a_line_is_a_snag_and_remarks_are_passed_over() {
        let text = "\u{feff}# Known\r\n\n  0123456789abcdef error   plug-fuse  W-1,  lamp 2\r\n";
        let fragment = read_text(text);
        assert!(fragment.faults.is_empty());
        let [snag] = fragment.snags.as_slice() else {
            panic!("{:?}", fragment.snags)
        };
        assert_eq!(snag.value.fingerprint, "0123456789abcdef");
        assert_eq!(snag.value.level, LevelWord::Error);
        assert_eq!(snag.value.things, "W-1, lamp 2");
        let rule = &snag.value.rule;
        assert_eq!(&text[rule.span.range()], "plug-fuse");
        assert_eq!(&text[snag.span.range()], text.lines().nth(2).unwrap());
        assert_eq!(snag.value.signed, None);
    }

    #[test]
    fn a_line_may_give_the_number_that_it_was_written_at() {
        let fragment = read_text("0123456789abcdef error   95A/80A plug-fuse W-1");
        let snag = &fragment.snags[0].value;
        assert_eq!(snag.signed.unwrap().show(), "95 A against 80 A");
        assert_eq!((&*snag.rule.value, &*snag.things), ("plug-fuse", "W-1"));
    }

    #[test]
    fn a_line_that_says_nothing_clear_is_a_fault_at_its_place() {
        for line in [
            "<<<<<<< HEAD",
            "0123456789abcde error plug-fuse W-1",
            "0123456789ABCDEF error plug-fuse W-1",
            "0123456789abcdef off plug-fuse W-1",
            "0123456789abcdef error",
            "0123456789abcdef error 95A plug-fuse W-1",
            "0123456789abcdef error 95/80A plug-fuse W-1",
            "0123456789abcdef error 95A/80A",
            "é",
        ] {
            let text = format!("# Known\n{line}\n");
            let fragment = read_text(&text);
            assert!(fragment.snags.is_empty(), "{line}");
            let spans: Vec<_> = fragment.faults.iter().map(|f| f.fault.span()).collect();
            assert_eq!(spans, [Span::new(FileId(0), 8, 8 + line.len())], "{line}");
        }
    }

    #[test]
    fn names_stay_on_their_line() {
        assert_eq!(things(["W-1", "lamp\r\n2", "a\u{1b}b"]), "W-1, lamp 2, a?b");
        // What is read back must be the same.
        let turned = things(["W\u{202e}-1", "##[x]", "::y"]);
        assert_eq!(turned, "W?-1, #?[x], ?:y");
        assert_eq!(things([turned.as_str()]), turned);
        assert_eq!(things([]), "");
    }
}
