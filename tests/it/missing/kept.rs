//! Whether what was said of a thing is still said, or asked, once a fact is missing.

use std::collections::BTreeSet;
use std::ops::Range;

use cordwright::finding::{Atom, Finding, Level, Verdict};
use cordwright::judgement::Judgement;

use super::exceptions::is_tie;
use super::facts::{self, Fact, Loss};
use crate::site::Files;

/// Rules that say how a text is written. That a text cannot be read does not say which questions it
/// leaves open, so that these answer for none of them; but see [`carries`].
const OF_WRITING: [&str; 5] = [
    "bad-quantity",
    "missing-key",
    "unknown-key",
    "unknown-name",
    "unreadable-file",
];

/// Rules that say what is wrong with a text itself.
const OF_TEXT: [&str; 8] = [
    "bad-quantity",
    "catalogue-unread",
    "duplicate-name",
    "missing-key",
    "pattern-idle",
    "unknown-key",
    "unknown-name",
    "unreadable-file",
];

/// A place where somebody must look who is told of a missing fact.
#[derive(Debug)]
pub struct Missed {
    file: String,
    /// The thing that lacks the fact.
    thing: Range<usize>,
    /// What cannot be read there.
    text: Option<Range<usize>>,
    /// Whether things hang together by it.
    is_tie: bool,
    is_deleted: bool,
}

impl Missed {
    /// Where a fact is missed in these texts, which do without it.
    pub fn of(files: &Files, (fact, loss): (&Fact, Loss)) -> Option<Self> {
        let (path, text) = &files[fact.file];
        let own = (loss == Loss::Unreadable).then(|| facts::place(text, &fact.path));
        Some(Self {
            file: path.clone(),
            thing: facts::place(text, fact.owner())?,
            text: own.flatten(),
            is_tie: is_tie(&fact.key()),
            is_deleted: loss == Loss::Deleted,
        })
    }

    fn is_told_by(&self, judgement: &Judgement, finding: &Finding) -> bool {
        self.is_at(judgement, finding, &self.thing)
    }

    fn is_at(&self, judgement: &Judgement, finding: &Finding, range: &Range<usize>) -> bool {
        let places = finding.places().map(|(place, _)| place.span);
        let mut spans = places.chain(finding.wants.iter().map(|fact| fact.span));
        spans.any(|span| {
            let (lo, hi) = (span.lo as usize, span.hi as usize);
            let file = &judgement.sources.file(span.file).path;
            *file == self.file && lo < range.end && range.start < hi.max(lo + 1)
        })
    }

    /// Whether an open point asks for what cannot be read there.
    pub fn is_asked(&self, judgement: &Judgement) -> bool {
        let mut findings = judgement.findings.iter();
        findings.any(|finding| {
            let mut wants = finding.wants.iter();
            let is_here = |text: &Range<usize>| {
                wants.any(|fact| {
                    let (lo, hi) = (fact.span.lo as usize, fact.span.hi as usize);
                    let file = &judgement.sources.file(fact.span.file).path;
                    *file == self.file && lo < text.end && text.start < hi.max(lo + 1)
                })
            };
            finding.verdict == Verdict::Open && self.text.as_ref().is_some_and(is_here)
        })
    }

    /// Whether it is said that what stands there cannot be read. What is free to be anything is read
    /// as it stands, so that nothing is missing.
    pub fn is_told_unreadable(&self, judgement: &Judgement) -> bool {
        let mut findings = judgement.findings.iter();
        findings.any(|finding| {
            let is_here = |text| self.is_at(judgement, finding, text);
            OF_WRITING.contains(&finding.rule) && self.text.as_ref().is_some_and(is_here)
        })
    }
}

/// What stands at a fact before it goes missing.
pub struct Written {
    file: String,
    range: Range<usize>,
}

impl Written {
    /// What stands there in these texts.
    pub fn of(files: &Files, fact: &Fact) -> Option<Self> {
        let (path, text) = &files[fact.file];
        let (file, range) = (path.clone(), facts::place(text, &fact.path)?);
        Some(Self { file, range })
    }

    fn is_said_by(&self, judgement: &Judgement, finding: &Finding) -> bool {
        let span = finding.main.span;
        let is_here = judgement.sources.file(span.file).path == self.file
            && self.range.start <= span.lo as usize
            && span.hi as usize <= self.range.end;
        is_here && OF_TEXT.contains(&finding.rule)
    }
}

/// Whether the finding about a text carries the questions that it leaves open. Where a tie is cut
/// there is no place in the power graph at which a rule could ask; the error there says itself that
/// what hangs on it is not judged, and no report that has it is sound. So says the error about a key
/// that a thing must have and that is not written.
fn carries(judgement: &Judgement, finding: &Finding, missed: &Missed) -> bool {
    let says_so = ["judged", "not known"]
        .iter()
        .any(|words| finding.headline.contains(words) || finding.main.note.contains(words));
    let is_required = missed.is_deleted && finding.rule == "missing-key";
    (missed.is_tie || is_required)
        && OF_WRITING.contains(&finding.rule)
        && (finding.level == Level::Error || finding.verdict == Verdict::Open)
        && says_so
        && missed.is_told_by(judgement, finding)
}

fn names(finding: &Finding, name: &str) -> bool {
    let mut all = finding.about.iter().chain(&finding.sufferers);
    all.any(|own| own == name)
}

/// What is said before and after facts went missing.
pub struct Change<'a> {
    before: &'a Judgement,
    after: &'a Judgement,
    known: BTreeSet<String>,
    missed: &'a [Missed],
}

impl<'a> Change<'a> {
    pub fn new(before: &'a Judgement, after: &'a Judgement, missed: &'a [Missed]) -> Self {
        Self {
            before,
            after,
            known: before.findings.iter().map(Finding::fingerprint).collect(),
            missed,
        }
    }

    /// Findings of which an atom is neither said nor asked any more. What is said of a text goes with
    /// the text.
    pub fn silenced(&self, text: &Written) -> impl Iterator<Item = &'a Finding> {
        let findings = self.before.findings.iter();
        let findings = findings.filter(|finding| !text.is_said_by(self.before, finding));
        findings.filter(|finding| finding.atoms().any(|atom| !self.keeps(finding, &atom)))
    }

    fn keeps(&self, finding: &Finding, atom: &Atom<'_>) -> bool {
        let mut after = self.after.findings.iter();
        after.any(|other| {
            let is_own = other.rule == finding.rule;
            let is_same = is_own && atom.sufferer().is_none_or(|name| names(other, name));
            is_same || self.asks(other, is_own, atom) || self.carries(other)
        })
    }

    /// Whether an open point asks about the same thing, or for what is missing.
    fn asks(&self, other: &Finding, is_own: bool, atom: &Atom<'_>) -> bool {
        let is_new = || is_own || !self.known.contains(&other.fingerprint());
        let names_thing = || is_own && atom.names().any(|name| names(other, name));
        let names_fact = || {
            let mut missed = self.missed.iter();
            missed.any(|missed| missed.is_told_by(self.after, other))
        };
        other.verdict == Verdict::Open && (names_thing() || is_new() && names_fact())
    }

    fn carries(&self, other: &Finding) -> bool {
        let mut missed = self.missed.iter();
        missed.any(|missed| carries(self.after, other, missed))
    }
}
