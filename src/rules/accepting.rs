//! Which findings the snag list accepts as known.

use std::borrow::Cow;
use std::collections::{BTreeMap, VecDeque};

use rustc_hash::FxHashMap;

use crate::finding::{Finding, Level, Verdict};
use crate::model::Model;
use crate::model::site::LevelWord;
use crate::model::snags::{Snag, things};
use crate::model::value::Spanned;

use super::records;

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
    /// By fingerprint, then by what the line says beside it.
    free: FxHashMap<&'a str, FxHashMap<Words<'a>, Lines<'a>>>,
    /// Lines that can accept nothing: of rules that do not exist, or of no level.
    void: Vec<&'a Spanned<Snag>>,
}

/// The words of a line count as well as its fingerprint: it must not say one thing and accept
/// another. These are its rule and the things.
type Words<'a> = (&'static str, Cow<'a, str>);

/// Lines of the same words by their level, each in the order of the list.
type Lines<'a> = BTreeMap<Level, VecDeque<&'a Spanned<Snag>>>;

impl<'a> Acceptance<'a> {
    /// The list of a site, no line of it used yet.
    pub fn of(model: &'a Model) -> Self {
        let mut acceptance = Self {
            free: FxHashMap::default(),
            void: Vec::new(),
        };
        for snag in &model.snags {
            acceptance.add(snag);
        }
        acceptance
    }

    fn add(&mut self, snag: &'a Spanned<Snag>) {
        let line = &snag.value;
        let (Some(rule), Some(level)) = (super::find(&line.rule.value), snag_level(line.level))
        else {
            return self.void.push(snag);
        };
        let same = self.free.entry(&line.fingerprint).or_default();
        let words = (rule.name, Cow::Borrowed(line.things.as_str()));
        let lines = same.entry(words).or_default();
        lines.entry(level).or_default().push_back(snag);
    }

    /// Uses up the line that accepts a finding, if there is one: of those that are grave enough the
    /// least. A finding that has become graver than it was is not the one that was accepted.
    pub fn takes(&mut self, finding: &Finding) -> bool {
        if self.free.is_empty() || !may_be_accepted(finding) {
            return false;
        }
        let Some(same) = self.free.get_mut(&*finding.fingerprint()) else {
            return false;
        };
        let names = finding.about.iter().map(|name| name.as_str());
        let words = (finding.rule, Cow::Owned(things(names)));
        let lines = same.get_mut(&words);
        let mut enough = lines
            .into_iter()
            .flat_map(|lines| lines.range_mut(finding.level..));
        enough.any(|(_, lines)| lines.pop_front().is_some())
    }

    /// The lines that accepted nothing, in the order of the list.
    pub fn idle(self) -> Vec<&'a Spanned<Snag>> {
        let same = self.free.into_values().flat_map(FxHashMap::into_values);
        let left = same.flat_map(BTreeMap::into_values).flatten();
        let mut idle: Vec<_> = left.chain(self.void).collect();
        idle.sort_by_key(|snag| snag.span);
        idle
    }
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
