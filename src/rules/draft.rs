//! A finding in the making.

use std::borrow::Cow;

use smol_str::SmolStr;

use crate::citation::Citation;
use crate::finding::{Edit, Fact, Finding, Level, Measure, Place, Remedy, Since, Verdict};
use crate::ink::{message, short};
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
            own_level: rule.level,
            verdict: Verdict::Broken,
            headline: headline.into(),
            main: Place {
                span: at,
                note: note.into(),
                is_hop: false,
            },
            path: Vec::new(),
            main_position: 0,
            arithmetic: Vec::new(),
            basis: vec![basis],
            remedy: Remedy::default(),
            wants: Vec::new(),
            about: Vec::new(),
            kind: "",
            sufferers: Vec::new(),
            suffers_at: Vec::new(),
            sites: Vec::new(),
            measure: None,
            since: Since::NotAsked,
            stage: None,
        })
    }

    /// Not decided for want of these facts; never a pass. A fact that is asked for first comes first.
    pub fn wants(mut self, facts: impl IntoIterator<Item = Fact>) -> Self {
        for fact in facts {
            if !self.0.wants.contains(&fact) {
                self.0.wants.push(fact);
            }
        }
        self.open()
    }

    /// Not decided, and no key of the format would decide it, such as where no table knows a part; never
    /// a pass.
    pub fn open(mut self) -> Self {
        self.0.verdict = Verdict::Open;
        self
    }

    /// Another level than the rule's own.
    pub fn level(mut self, level: Level) -> Self {
        (self.0.level, self.0.own_level) = (level, level);
        self
    }

    /// Places that come before the main one in electrical order.
    pub fn above(mut self, places: impl IntoIterator<Item = Place>) -> Self {
        let places: Vec<Place> = places.into_iter().collect();
        let at = self.0.main_position;
        self.0.main_position += places.len();
        self.0.path.splice(at..at, places);
        self
    }

    /// Places that come after the main one in electrical order.
    pub fn below(mut self, places: impl IntoIterator<Item = Place>) -> Self {
        self.0.path.extend(places);
        self
    }

    /// Lines of arithmetic.
    pub fn working(mut self, lines: impl IntoIterator<Item = String>) -> Self {
        self.0.arithmetic.extend(lines);
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
        self.advise(advice.into());
        self
    }

    /// The same of a finding that is told already.
    pub fn advise(&mut self, advice: String) {
        self.0.remedy.advice = advice;
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

    /// Who suffers a fault of something that many share: the cords of a type, the devices of a model.
    pub fn suffered_by(mut self, names: impl IntoIterator<Item = impl Into<SmolStr>>) -> Self {
        self.0.sufferers.extend(names.into_iter().map(Into::into));
        self
    }

    /// The number that it is about and the limit that this lies beyond.
    pub fn measured(mut self, measure: impl Into<Option<Measure>>) -> Self {
        self.0.measure = measure.into();
        self
    }

    /// The finding; places that repeat the main one's bytes are dropped, and names that are long beyond
    /// reading are cut where they are told, never where they name the fault.
    pub fn finish(mut self) -> Finding {
        cut_long_names(&mut self.0);
        let main = self.0.main.span;
        let before = self.0.path[..self.0.main_position]
            .iter()
            .filter(|place| place.span != main)
            .count();
        self.0.path.retain(|place| place.span != main);
        self.0.main_position = before;
        self.shorten_path();
        self.0.sufferers.sort_unstable();
        self.0.sufferers.dedup();
        self.0
    }

    /// The same with names cut that are long beyond reading: many drafts may be kept at once, and all may
    /// repeat one name.
    pub(super) fn brief(mut self) -> Self {
        cut_long_names(&mut self.0);
        self
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

fn cut_long_names(finding: &mut Finding) {
    // A name with blanks in it is known only where the finding is about it.
    let names = finding.about.iter().map(SmolStr::as_str);
    let long: Vec<&str> = names.filter(|name| short(name) != *name).collect();
    let notes = finding.path.iter_mut().chain([&mut finding.main]);
    let notes = notes.map(|place| &mut place.note);
    let told = [&mut finding.headline, &mut finding.remedy.advice].into_iter();
    for text in told.chain(&mut finding.arithmetic).chain(notes) {
        for name in &long {
            *text = text.replace(name, &short(name));
        }
        if let Cow::Owned(cut) = message(text) {
            *text = cut;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::identity::label_pattern::RULE;
    use crate::source::FileId;

    #[test]
    fn long_names_are_cut_in_what_is_told_and_whole_in_what_names_the_fault() {
        let (label, kind) = ("W 1 ".repeat(80), "k".repeat(300));
        let span = |at| Span::new(FileId(0), at, at + 1);
        let place = Place {
            span: span(7),
            note: format!("of type {kind}"),
            is_hop: false,
        };
        let finding = Draft::new(
            &RULE,
            format!("cord {label} burns"),
            span(1),
            format!("{label} is here"),
            Citation::common_practice("a test"),
        )
        .below([place])
        .working([format!("{kind}: 1 A + 2 A = 3 A")])
        .advice(format!("Mend {label}."))
        .edit(span(1), label.clone())
        .about([label.as_str()])
        .finish();
        let (cut_label, cut_kind) = (short(&label), short(&kind));
        assert_eq!(finding.headline, format!("cord {cut_label} burns"));
        assert_eq!(finding.main.note, format!("{cut_label} is here"));
        assert_eq!(finding.path[0].note, format!("of type {cut_kind}"));
        assert_eq!(finding.arithmetic, [format!("{cut_kind} 1 A + 2 A = 3 A")]);
        assert_eq!(finding.remedy.advice, format!("Mend {cut_label}."));
        assert_eq!(finding.about[0], label.as_str());
        assert_eq!(finding.remedy.edits[0].text, label);
    }

    #[test]
    fn of_a_long_path_both_ends_are_told() {
        let place = |at: usize| Place {
            span: Span::new(FileId(0), at, at + 1),
            note: format!("hop {at}"),
            is_hop: false,
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
}
