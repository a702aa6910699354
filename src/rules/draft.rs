//! A finding in the making.

use std::borrow::Cow;

use smol_str::SmolStr;

use crate::citation::Citation;
use crate::finding::{Edit, Finding, Level, Place, Remedy, Verdict};
use crate::source::Span;

use super::Rule;

/// Builds a [`Finding`] piece by piece. A main place and a basis are asked for at the start, so that
/// no finding can be without them.
#[derive(Debug)]
pub struct Draft(Finding);

impl Draft {
    /// A finding of `rule` at its own level: the hazard in one sentence, the line an author would
    /// most likely edit with what is to be seen there, and where the limit comes from.
    pub fn new(
        rule: &Rule,
        headline: impl Into<String>,
        at: Span,
        note: impl Into<String>,
        basis: Citation,
    ) -> Self {
        Self(Finding {
            rule: rule.name,
            first_name: rule.first_name(),
            level: rule.level,
            verdict: Verdict::Broken,
            headline: shortened(headline.into()),
            main: Place {
                span: at,
                note: shortened(note.into()),
            },
            path: Vec::new(),
            main_position: 0,
            arithmetic: Vec::new(),
            basis: vec![basis],
            remedy: Remedy::default(),
            about: Vec::new(),
            kind: "",
        })
    }

    /// Not decided, because something is missing; never a pass.
    pub fn open(mut self) -> Self {
        self.0.verdict = Verdict::Open;
        self
    }

    /// Another level than the rule's own.
    pub fn level(mut self, level: Level) -> Self {
        self.0.level = level;
        self
    }

    /// Places that come before the main one in electrical order.
    pub fn above(mut self, places: impl IntoIterator<Item = Place>) -> Self {
        let places: Vec<Place> = places.into_iter().map(short).collect();
        let at = self.0.main_position;
        self.0.main_position += places.len();
        self.0.path.splice(at..at, places);
        self
    }

    /// Places that come after the main one in electrical order.
    pub fn below(mut self, places: impl IntoIterator<Item = Place>) -> Self {
        self.0.path.extend(places.into_iter().map(short));
        self
    }

    /// Lines of arithmetic.
    pub fn working(mut self, lines: impl IntoIterator<Item = String>) -> Self {
        self.0.arithmetic.extend(lines.into_iter().map(shortened));
        self
    }

    /// More sources.
    pub fn also(mut self, basis: impl IntoIterator<Item = Citation>) -> Self {
        for citation in basis {
            if !self.0.basis.contains(&citation) {
                self.0.basis.push(citation);
            }
        }
        self
    }

    /// What to do, in the imperative.
    pub fn advice(mut self, advice: impl Into<String>) -> Self {
        self.0.remedy.advice = shortened(advice.into());
        self
    }

    /// The single safe edit that puts it right.
    pub fn edit(mut self, span: Span, text: impl Into<String>) -> Self {
        self.0.remedy.edits.push(Edit {
            span,
            text: text.into(),
        });
        self
    }

    /// Stable names of the things it is about, main thing first.
    pub fn about(mut self, names: impl IntoIterator<Item = impl Into<SmolStr>>) -> Self {
        self.0.about.extend(names.into_iter().map(Into::into));
        self
    }

    /// Tells apart several faults of the rule about the same things.
    pub fn kind(mut self, kind: &'static str) -> Self {
        self.0.kind = kind;
        self
    }

    /// The finding; places that repeat the main one's bytes are dropped.
    pub fn finish(mut self) -> Finding {
        let main = self.0.main.span;
        let before = self.0.path[..self.0.main_position]
            .iter()
            .filter(|place| place.span != main)
            .count();
        self.0.path.retain(|place| place.span != main);
        self.0.main_position = before;
        self.shorten_path();
        self.0
    }

    /// Of a long path keeps the places next to the supply and next to the device.
    fn shorten_path(&mut self) {
        let left_out = self.0.path.len().saturating_sub(2 * NEAR_AN_END);
        if left_out == 0 {
            return;
        }
        self.0.path.drain(NEAR_AN_END..NEAR_AN_END + left_out);
        if let Some(place) = self.0.path.get_mut(NEAR_AN_END - 1) {
            place.note = format!(
                "{}; after it {left_out} places are left out here",
                place.note
            );
        }
        let before = self.0.main_position;
        self.0.main_position = before.saturating_sub(left_out).max(before.min(NEAR_AN_END));
    }
}

/// Places at each end of a path that a finding tells: no path between supply and device has as many.
const NEAR_AN_END: usize = 20;

/// Characters of the longest word that a finding repeats: a name may be a page long, and stand in
/// thousands of findings.
const LONGEST_WORD: usize = 200;

fn short(mut place: Place) -> Place {
    place.note = shortened(place.note);
    place
}

/// A text with words as long as somebody can read.
fn shortened(text: String) -> String {
    let is_long = |word: &str| word.len() > LONGEST_WORD && word.chars().count() > LONGEST_WORD;
    if text.len() <= LONGEST_WORD || !text.split(' ').any(is_long) {
        return text;
    }
    let words = text.split(' ').map(|word| match is_long(word) {
        true => word.chars().take(LONGEST_WORD).chain(['…']).collect(),
        false => Cow::Borrowed(word),
    });
    words.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::FileId;

    #[test]
    fn of_a_long_path_both_ends_are_told() {
        let place = |at: usize| Place {
            span: Span::new(FileId(0), at, at + 1),
            note: format!("hop {at}"),
        };
        let drafted = |above: usize, below: usize| {
            let basis = Citation::marked("mark");
            let at = Span::new(FileId(0), 1_000, 1_001);
            Draft::new(super::super::RULES[0], "headline", at, "note", basis)
                .above((0..above).map(place))
                .below((above..above + below).map(place))
                .finish()
        };
        let whole = drafted(30, 10);
        assert_eq!((whole.path.len(), whole.main_position), (40, 30));
        for (above, below, position) in [(30, 31, 20), (60, 1, 39), (1, 60, 1), (20, 41, 20)] {
            let cut = drafted(above, below);
            assert_eq!((cut.path.len(), cut.main_position), (40, position));
            assert_eq!(
                cut.path[19].note,
                "hop 19; after it 21 places are left out here"
            );
            assert_eq!(
                (&*cut.path[20].note, &*cut.path[39].note),
                ("hop 41", "hop 60")
            );
        }
    }

    #[test]
    fn a_word_that_nobody_can_read_is_cut() {
        let [fits, long] = [200, 201].map(|count| "é".repeat(count));
        for text in ["", "short", &fits, &format!("{fits} {fits}")] {
            assert_eq!(shortened(text.to_owned()), text);
        }
        let cut = shortened(format!("cord {long} is  long"));
        assert_eq!(cut, format!("cord {fits}… is  long"));
    }
}
