//! Which findings the snag list accepts as known.

use std::collections::BTreeMap;

use crate::finding::{Finding, Level, Verdict};
use crate::model::Model;
use crate::model::site::LevelWord;
use crate::model::snags::{Snag, things};
use crate::model::value::Spanned;

use super::{Rule, records};

/// Whether a finding may be on a snag list. What is not decided may not, for it has to stay in
/// sight; nor what hides other faults, for nobody knows what would be accepted with it.
pub fn may_be_accepted(finding: &Finding) -> bool {
    let hides = [
        records::unreadable_file::RULE.name,
        records::snag_idle::RULE.name,
    ];
    finding.verdict == Verdict::Broken && !hides.contains(&finding.rule)
}

/// The snag list at work: each of its lines accepts one finding, so that a fault that is there
/// twice and stands on the list once is new once.
#[derive(Debug)]
pub struct Acceptance<'a> {
    free: BTreeMap<&'a str, Vec<&'a Spanned<Snag>>>,
}

impl<'a> Acceptance<'a> {
    /// The list of a site, no line of it used yet.
    pub fn of(model: &'a Model) -> Self {
        let mut free: BTreeMap<&str, Vec<&Spanned<Snag>>> = BTreeMap::new();
        for snag in &model.snags {
            free.entry(&snag.value.fingerprint).or_default().push(snag);
        }
        Self { free }
    }

    /// Uses up the line that accepts a finding, if there is one.
    pub fn takes(&mut self, finding: &Finding) -> bool {
        if self.free.is_empty() || !may_be_accepted(finding) {
            return false;
        }
        let Some(lines) = self.free.get_mut(&*finding.fingerprint()) else {
            return false;
        };
        let fits = (0..lines.len()).filter(|&at| accepts(&lines[at].value, finding));
        let least = fits.min_by_key(|&at| snag_level(lines[at].value.level));
        least.map(|at| lines.remove(at)).is_some()
    }

    /// The lines that accepted nothing, in the order of the list.
    pub fn idle(self) -> Vec<&'a Spanned<Snag>> {
        let mut idle: Vec<_> = self.free.into_values().flatten().collect();
        idle.sort_by_key(|snag| snag.span);
        idle
    }
}

/// The words of a line count as well as its fingerprint: it must not say one thing and accept
/// another. A finding that has become graver than it was is not the one that was accepted.
fn accepts(snag: &Snag, finding: &Finding) -> bool {
    let is_same =
        super::find(&snag.rule.value).is_some_and(|rule: &Rule| rule.name == finding.rule);
    let names = finding.about.iter().map(|name| name.as_str());
    is_same && Some(finding.level) <= snag_level(snag.level) && snag.things == things(names)
}

/// The level that a word of the list means; `None` for `off`, which no line holds.
pub fn snag_level(word: LevelWord) -> Option<Level> {
    match word {
        LevelWord::Error => Some(Level::Error),
        LevelWord::Warning => Some(Level::Warning),
        LevelWord::Note => Some(Level::Note),
        LevelWord::Off => None,
    }
}
