//! What a rule says: plain data, no formatting. Every output is a writer over these.

mod asked;
mod atom;
mod fact;
mod measure;

use smol_str::SmolStr;

use crate::citation::Citation;
use crate::model::stage::Stage;
use crate::source::{FileId, Span};

pub use asked::{Asked, Whereabouts};
pub use atom::Atom;
pub(crate) use atom::Identity;
pub use fact::{Fact, FactState};
pub use measure::{Measure, Move, Side};

/// How much a finding weighs; the levels of SARIF 2.1.0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Worth knowing.
    Note,
    /// Should be put right, or departed from with a reason.
    Warning,
    /// May hurt people or drop the load.
    Error,
}

impl Level {
    /// The level's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// Whether the rule could decide.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// The rule is broken.
    Broken,
    /// Not decided: a fact is missing. Never a pass.
    Open,
}

/// A place in the definitions that bears on a finding, and the one thing to see there.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The bytes.
    pub span: Span,
    /// What is to be seen there, with its quantity; short.
    pub note: String,
    /// Whether it is a thing that current flows through on its way from the supply to the device.
    pub is_hop: bool,
}

/// One line of a finding's arithmetic, complete enough to redo by hand: `420 W ÷ (207 V × 0.97) = 2.09 A`.
pub type Arithmetic = String;

/// Replacing the bytes of `span` by `text`; a span of no bytes inserts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Edit {
    /// What is replaced.
    pub span: Span,
    /// What stands there instead.
    pub text: String,
}

/// What would put a finding right.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Remedy {
    /// What to do, in the imperative.
    pub advice: String,
    /// The edit that does it, where a single safe one exists; empty otherwise.
    pub edits: Vec<Edit>,
}

/// One thing that a rule has to say about the site.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Finding {
    /// The rule's name.
    pub rule: &'static str,
    /// The name that the rule was first released under: the fingerprint outlives a new name.
    pub first_name: &'static str,
    /// Its weight here.
    pub level: Level,
    /// Its weight by the rule alone, whatever level a site has set.
    pub own_level: Level,
    /// Broken, or not decided.
    pub verdict: Verdict,
    /// The hazard and who suffers it, in one sentence that stands alone.
    pub headline: String,
    /// The line an author would most likely edit.
    pub main: Place,
    /// The other places that bear on it, in electrical order, supply to device; `main` is not among them.
    pub path: Vec<Place>,
    /// Where `main` stands in the electrical order: this many places of `path` come before it.
    pub main_position: usize,
    /// The numbers, a line each.
    pub arithmetic: Vec<Arithmetic>,
    /// Where the limit comes from; never empty.
    pub basis: Vec<Citation>,
    /// What would put it right.
    pub remedy: Remedy,
    /// Of an open point the facts that are missing, the one to ask for first; empty where no key of the
    /// format would decide it.
    pub wants: Vec<Fact>,
    /// Stable names that identify the fault: the things it is about, main thing first. Departures
    /// name them and the fingerprint is made of them, so they never hold lines or numbers.
    pub about: Vec<SmolStr>,
    /// Tells apart several faults of one rule about the same things; empty if there can be only one.
    pub kind: &'static str,
    /// Who suffers a fault of something that many share, such as the cords of a type: sorted, each
    /// once. Empty where what is at fault is itself what suffers.
    pub sufferers: Vec<SmolStr>,
    /// Where those are defined, in order of the bytes.
    pub suffers_at: Vec<Span>,
    /// The sites that suffer it, where it lies in a catalogue and several sites were judged; empty otherwise.
    pub sites: Vec<SmolStr>,
    /// The number that it is about, at its worst, and the limit that this lies beyond, where it is about
    /// a number.
    pub measure: Option<Measure>,
    /// How it stands to an earlier state of the site.
    pub since: Since,
    /// Where the site is judged as it hangs and as it is planned, the one of the two that it is told of;
    /// `None` where it holds for both.
    pub stage: Option<Stage>,
}

/// How a finding stands to the earlier state of the site that it is compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Since {
    /// Nothing was compared.
    #[default]
    NotAsked,
    /// It was not there.
    New,
    /// It was there, and its number or its share of the limit was smaller.
    Worse(Measure),
    /// It was there as it is.
    Unchanged,
    /// It was there, and its number was larger.
    Better(Measure),
}

impl Since {
    /// Whether a comparison lets it pass: it was there before, and no smaller.
    pub fn is_old(self) -> bool {
        matches!(self, Self::Unchanged | Self::Better(_))
    }

    /// The word for it; `None` where nothing was compared.
    pub fn word(self) -> Option<&'static str> {
        match self {
            Self::NotAsked => None,
            Self::New => Some("new"),
            Self::Worse(_) => Some("worse"),
            Self::Unchanged => Some("unchanged"),
            Self::Better(_) => Some("better"),
        }
    }

    /// What was measured then, where that moved.
    pub fn earlier(&self) -> Option<&Measure> {
        match self {
            Self::Worse(measure) | Self::Better(measure) => Some(measure),
            Self::NotAsked | Self::New | Self::Unchanged => None,
        }
    }
}

impl Finding {
    /// All places in electrical order, the main one among them and marked by `true`.
    pub fn places(&self) -> impl Iterator<Item = (&Place, bool)> {
        let before = self.path.iter().take(self.main_position);
        let after = self.path.iter().skip(self.main_position);
        before
            .map(|place| (place, false))
            .chain(std::iter::once((&self.main, true)))
            .chain(after.map(|place| (place, false)))
    }

    /// The files of its cause and of those who suffer it; one may come twice.
    pub fn files(&self) -> impl Iterator<Item = FileId> {
        let mut suffers_in: Vec<FileId> = self.suffers_at.iter().map(|span| span.file).collect();
        suffers_in.dedup();
        std::iter::once(self.main.span.file).chain(suffers_in)
    }

    /// Whether its cause or one who suffers it lies in a file that `wanted` takes.
    pub fn concerns(&self, wanted: impl Fn(FileId) -> bool) -> bool {
        self.files().any(wanted)
    }

    /// Sorts by what is seen: place first, then everything else, so that no other order can show.
    pub fn order(&self, other: &Self) -> std::cmp::Ordering {
        let key = |f: &Self| (f.main.span, f.rule, f.verdict);
        key(self).cmp(&key(other)).then_with(|| self.cmp(other))
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn finding(rule: &'static str, at: usize, about: &[&str]) -> Finding {
        Finding {
            rule,
            first_name: "plug-hot",
            level: Level::Error,
            own_level: Level::Error,
            verdict: Verdict::Broken,
            headline: format!("at byte {at}"),
            main: Place {
                span: Span::new(FileId(at as u32), at, at + 1),
                note: String::new(),
                is_hop: false,
            },
            path: Vec::new(),
            main_position: 0,
            arithmetic: vec![format!("{at} A")],
            basis: Vec::new(),
            remedy: Remedy::default(),
            wants: Vec::new(),
            about: about.iter().copied().map(Into::into).collect(),
            kind: "",
            sufferers: Vec::new(),
            suffers_at: Vec::new(),
            sites: Vec::new(),
            measure: None,
            since: Since::NotAsked,
            stage: None,
        }
    }

    #[test]
    fn a_fingerprint_outlives_moved_lines_new_numbers_and_a_new_name_of_the_rule() {
        let first = finding("plug-hot", 1, &["W-1", "lamp"]);
        let later = finding("plug-fuse", 77, &["W-1", "lamp"]);
        assert_eq!(first.fingerprint(), later.fingerprint());
        // Written down once: lists that sites keep and services that follow findings hold it.
        assert_eq!(first.fingerprint(), "5fa865d0aff78ad9");
    }

    #[test]
    fn a_fingerprint_tells_things_verdicts_and_kinds_apart() {
        let one = || finding("plug-fuse", 1, &["W-1", "lamp"]);
        let mut others = vec![
            finding("plug-fuse", 1, &["W-1lamp"]),
            finding("plug-fuse", 1, &["W-1"]),
        ];
        others.extend([
            Finding {
                verdict: Verdict::Open,
                ..one()
            },
            Finding {
                kind: "past",
                ..one()
            },
            Finding {
                first_name: "plug-cold",
                ..one()
            },
        ]);
        for other in others {
            assert_ne!(one().fingerprint(), other.fingerprint(), "{other:?}");
        }
    }
}
