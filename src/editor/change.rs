//! What an edit does to places: one changed stretch of a text, and spans carried over it.

use crate::finding::Finding;
use crate::source::{FileId, Span};

/// The bytes `lo..old_hi` of a text have become the bytes `lo..new_hi` of the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    lo: u32,
    old_hi: u32,
    new_hi: u32,
}

impl Change {
    /// The shortest stretch in which two texts differ; `None` if they are the same.
    pub fn between(old: &str, new: &str) -> Option<Self> {
        if old == new {
            return None;
        }
        let (a, b) = (old.as_bytes(), new.as_bytes());
        let most = a.len().min(b.len());
        let lo = (0..most).find(|&at| a[at] != b[at]).unwrap_or(most);
        let same = |back: &usize| a[a.len() - 1 - back] == b[b.len() - 1 - back];
        let tail = (0..most - lo).take_while(same).count();
        Some(Self {
            lo: lo as u32,
            old_hi: (a.len() - tail) as u32,
            new_hi: (b.len() - tail) as u32,
        })
    }

    /// Bytes of the old text that are gone or replaced.
    pub fn old(&self) -> std::ops::Range<usize> {
        self.lo as usize..self.old_hi as usize
    }

    /// Where the bytes of `span` are in the new text. Of a span that lost some, what is left.
    pub fn carry(&self, span: Span) -> Span {
        let shift = |at: u32| at - self.old_hi + self.new_hi;
        let (lo, hi) = (span.lo, span.hi);
        if hi <= self.lo {
            return span;
        }
        if lo >= self.old_hi {
            return Span {
                lo: shift(lo),
                hi: shift(hi),
                ..span
            };
        }
        let lo = if lo <= self.lo {
            lo
        } else {
            lo.min(self.new_hi)
        };
        let hi = if hi >= self.old_hi {
            shift(hi)
        } else {
            self.new_hi
        };
        Span {
            lo,
            hi: hi.max(lo),
            ..span
        }
    }
}

/// All changes of a text since a moment, first to last.
#[derive(Clone, Debug, Default)]
pub struct Drift(Vec<Change>);

impl Drift {
    /// Adds the latest change.
    pub fn push(&mut self, change: Change) {
        self.0.push(change);
    }

    /// Where the bytes of `span` are now.
    pub fn carry(&self, span: Span) -> Span {
        self.0.iter().fold(span, |span, change| change.carry(span))
    }
}

/// Carries every place of a finding over.
pub fn carry_finding(finding: &mut Finding, carry: impl Fn(Span) -> Span) {
    let spans = std::iter::once(&mut finding.main.span)
        .chain(finding.path.iter_mut().map(|place| &mut place.span))
        .chain(finding.remedy.edits.iter_mut().map(|edit| &mut edit.span))
        .chain(finding.wants.iter_mut().map(|fact| &mut fact.span))
        .chain(&mut finding.suffers_at);
    for span in spans {
        *span = carry(*span);
    }
}

/// Whether any place of a finding lies in `file`, or one who suffers it.
pub fn touches(finding: &Finding, file: FileId) -> bool {
    let is_place = finding.places().any(|(place, _)| place.span.file == file);
    is_place || finding.suffers_at.iter().any(|span| span.file == file)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn span(lo: usize, hi: usize) -> Span {
        Span::new(FileId(0), lo, hi)
    }

    #[test]
    fn what_lies_before_stays_and_what_lies_behind_moves() {
        let change = Change::between("a: 1\nb: 2\n", "a: 1\n# why\nb: 2\n").unwrap();
        assert_eq!(change.carry(span(0, 1)), span(0, 1));
        assert_eq!(change.carry(span(3, 4)), span(3, 4));
        assert_eq!(change.carry(span(5, 6)), span(11, 12));
        assert_eq!(Change::between("a", "a"), None);
    }

    #[test]
    fn a_word_that_is_typed_on_keeps_its_place() {
        let change = Change::between("draw: 42 W", "draw: 420 W").unwrap();
        assert_eq!(change.carry(span(6, 10)), span(6, 11));
        let gone = Change::between("draw: 42 W", "draw: ").unwrap();
        assert_eq!(gone.carry(span(6, 10)), span(6, 6));
    }

    proptest! {
        #[test]
        fn a_span_outside_the_change_keeps_its_text(old in "[ab\nü]{0,30}", new in "[ab\nü]{0,30}") {
            let Some(change) = Change::between(&old, &new) else {
                return Ok(());
            };
            let gone = change.old();
            for lo in 0..=old.len() {
                for hi in lo..=old.len() {
                    let carried = change.carry(span(lo, hi)).range();
                    prop_assert!(carried.start <= carried.end && carried.end <= new.len());
                    if hi <= gone.start || lo >= gone.end {
                        prop_assert_eq!(&old.as_bytes()[lo..hi], &new.as_bytes()[carried]);
                    }
                }
            }
        }
    }
}
