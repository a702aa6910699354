//! What a change made of a site: two judgements held against each other.

mod balance;
mod keys;
mod matching;
mod stricter;

pub use balance::{Balance, Ledger, Watts};
pub use keys::{ChangedKey, changed_keys};
pub use matching::matched;
pub use stricter::stricter;

use crate::finding::{Finding, Level, Since, Verdict};
use crate::model::value::Name;
use crate::source::Sources;

/// What is told of a change beside the findings, which carry themselves how they stand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// The revision compared with, as it was named.
    pub revision: String,
    /// The state of its files, as [`Sources::state`](crate::source::Sources::state) names it.
    pub earlier_state: Option<u128>,
    /// Faults that were there and are not any more.
    pub gone: Vec<Gone>,
    /// What came, went and is there.
    pub balance: Balance,
    /// Keys of the site, its zones and models that read otherwise than before. They are told where
    /// findings went away, for they may be why.
    pub changed_keys: Vec<ChangedKey>,
    /// Whether what the change relaxes holds and is merely told.
    pub relaxations_hold: bool,
    /// How many things the change relaxes.
    pub relaxations: usize,
}

/// A fault that was there before a change and is not there after it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gone {
    /// The rule.
    pub rule: &'static str,
    /// What was said of it.
    pub headline: String,
    /// The things that it was about, those that suffered among them.
    pub names: Vec<Name>,
    /// The names of its atoms.
    pub fingerprints: Vec<String>,
    /// How grave it was.
    pub level: Level,
    /// Whether it was broken or open.
    pub verdict: Verdict,
    /// The file, as it was called before the change.
    pub path: String,
}

impl Gone {
    /// What a finding of the earlier state becomes that is not there any more.
    pub fn of(sources: &Sources, finding: Finding) -> Self {
        let names = finding.about.iter().chain(&finding.sufferers).cloned();
        Self {
            rule: finding.rule,
            names: names.collect(),
            fingerprints: finding.atoms().map(|atom| atom.fingerprint()).collect(),
            level: finding.level,
            verdict: finding.verdict,
            path: sources.file(finding.main.span.file).path.clone(),
            headline: finding.headline,
        }
    }

    /// Whether it was a point that nobody could decide.
    pub fn is_open(&self) -> bool {
        self.verdict == Verdict::Open
    }
}

/// Atoms by how they stand to an earlier state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Tally {
    /// They were not there.
    pub new: usize,
    /// They were there, and have grown.
    pub worse: usize,
    /// They were there as they are.
    pub unchanged: usize,
    /// They were there, and have shrunk.
    pub better: usize,
}

impl Tally {
    /// Adds another count.
    pub fn join(&mut self, other: &Self) {
        self.new += other.new;
        self.worse += other.worse;
        self.unchanged += other.unchanged;
        self.better += other.better;
    }

    /// Counts the atoms of findings.
    pub fn of<'f>(findings: impl IntoIterator<Item = &'f Finding>) -> Self {
        let mut tally = Self::default();
        for finding in findings {
            let count = match finding.since {
                Since::NotAsked | Since::New => &mut tally.new,
                Since::Worse(_) => &mut tally.worse,
                Since::Unchanged => &mut tally.unchanged,
                Since::Better(_) => &mut tally.better,
            };
            *count += finding.atoms().count();
        }
        tally
    }
}
