//! What is said about text that is no quantity.

use std::ops::Range;

/// Why text could not be read as the quantity wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misread {
    /// The bytes of the text that are wrong; the unit alone where only the unit is.
    pub part: Range<usize>,
    /// What is wrong, understood without the advice.
    pub headline: String,
    /// What to do about it.
    pub advice: String,
    /// The right text, only where a single safe guess exists; it always reads.
    pub replacement: Option<String>,
}

impl Misread {
    /// A misread of a part of the text.
    pub(super) fn new(
        part: Range<usize>,
        headline: impl Into<String>,
        advice: impl Into<String>,
    ) -> Self {
        Self {
            part,
            headline: headline.into(),
            advice: advice.into(),
            replacement: None,
        }
    }

    /// A misread of the whole text but the blanks around it.
    pub(super) fn of_all(
        text: &str,
        headline: impl Into<String>,
        advice: impl Into<String>,
    ) -> Self {
        Self::new(trimmed(text), headline, advice)
    }

    /// The same with the right text, if there is one.
    pub(super) fn with_replacement(mut self, replacement: Option<String>) -> Self {
        self.replacement = replacement;
        self
    }

    /// The same for a larger text in which the one read starts at byte `by`; what would replace only a part
    /// of it is dropped.
    pub(super) fn within(mut self, by: usize) -> Self {
        self.part = self.part.start + by..self.part.end + by;
        self.replacement = None;
        self
    }
}

/// The bytes of `text` without the blanks around it.
pub(super) fn trimmed(text: &str) -> Range<usize> {
    let start = text.len() - text.trim_start().len();
    start..start + text.trim().len()
}

/// Where the slice `inner` of `text` lies in it.
pub(super) fn place_of(inner: &str, text: &str) -> Range<usize> {
    let start = (inner.as_ptr() as usize)
        .saturating_sub(text.as_ptr() as usize)
        .min(text.len());
    start..(start + inner.len()).min(text.len())
}

/// The text between backquotes, shortened and without control characters, fit for a message.
pub(super) fn quote(text: &str) -> String {
    const LONGEST: usize = 40;
    let text = text.trim();
    let mut quoted: String = text
        .chars()
        .take(LONGEST)
        .map(|c| {
            if c.is_control() || c == '`' {
                '\u{fffd}'
            } else {
                c
            }
        })
        .collect();
    if text.chars().nth(LONGEST).is_some() {
        quoted.push('…');
    }
    format!("`{quoted}`")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_are_short_and_clean() {
        assert_eq!(quote(" 10\tA "), "`10\u{fffd}A`");
        assert_eq!(quote(&"é".repeat(60)).chars().count(), 43);
    }

    #[test]
    fn places_are_bytes_of_the_outer_text() {
        let text = "  3 Ω ";
        assert_eq!(trimmed(text), 2..6);
        assert_eq!(place_of(text.trim().trim_start_matches("3 "), text), 4..6);
    }
}
