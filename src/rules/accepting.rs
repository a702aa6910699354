//! Which findings the snag list accepts as known.

use std::borrow::Cow;
use std::collections::{BTreeMap, VecDeque};

use rustc_hash::FxHashMap;

use crate::finding::{Arithmetic, Finding, Level, Verdict};
use crate::model::signed::Signed;
use crate::model::site::LevelWord;
use crate::model::snags::{Snag, things};
use crate::model::value::Spanned;
use crate::policy::Policy;

use super::departing::is_within;
use super::records;

/// Whether a finding may be on a snag list. What is not decided may not, for it has to stay in
/// sight; nor what hides other faults, for nobody knows what would be accepted with it.
pub fn may_be_accepted(finding: &Finding) -> bool {
    let is_of_list = finding.rule == records::snag_idle::RULE.name;
    finding.verdict == Verdict::Broken && !is_of_list && !hides_others(finding)
}

/// Whether a finding says that a part of the definitions is not read: it hides what is wrong there.
pub fn hides_others(finding: &Finding) -> bool {
    let hiding = [
        records::unreadable_file::RULE.name,
        records::catalogue_unread::RULE.name,
    ];
    hiding.contains(&finding.rule)
}

/// The snag list at work: each of its lines accepts one fault, so that a fault that is there twice
/// and stands on the list once is new once.
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

/// A finding that the list accepts as known.
#[derive(Clone, Debug)]
pub struct Known {
    /// What was found.
    pub finding: Finding,
    /// The number at which its line was written; lines of an earlier release have none.
    pub signed: Option<Signed>,
}

impl Known {
    /// A finding that is accepted at what it measures today.
    pub fn at_what_it_is(finding: Finding) -> Self {
        Self {
            signed: finding.measure.as_ref().map(Signed::from),
            finding,
        }
    }
}

/// A line that a fault was looked for in.
enum Line<'a> {
    /// There is none for it.
    Missing,
    /// This one accepts it.
    Accepts(&'a Spanned<Snag>),
    /// This one did, and the number has grown beyond it.
    Outgrown(&'a Spanned<Snag>),
}

impl<'a> Acceptance<'a> {
    /// The list of a site, no line of it used yet.
    pub fn of(policy: &Policy<'a>) -> Self {
        let mut acceptance = Self {
            free: FxHashMap::default(),
            void: Vec::new(),
        };
        for snag in policy.snags() {
            acceptance.add(snag);
        }
        acceptance
    }

    /// Findings apart: those that are known, and those that stand.
    pub fn part(&mut self, findings: Vec<Finding>) -> (Vec<Known>, Vec<Finding>) {
        let (mut known, mut standing) = (Vec::new(), Vec::with_capacity(findings.len()));
        for finding in findings {
            match self.free.is_empty() || !may_be_accepted(&finding) {
                true => standing.push(finding),
                false => self.part_one(finding, &mut known, &mut standing),
            }
        }
        (known, standing)
    }

    /// Uses up the lines that accept atoms of a finding.
    fn part_one(&mut self, finding: Finding, known: &mut Vec<Known>, standing: &mut Vec<Finding>) {
        // Lists of an earlier release name a shared fault once for all who suffer it.
        let whole = match finding.sufferers.as_slice() {
            [] => Line::Missing,
            _ => self.line(&finding, &finding.fingerprint(), names(&finding)),
        };
        if let Line::Accepts(line) = whole {
            let signed = line.value.signed;
            return known.push(Known { finding, signed });
        }
        let lines: Vec<Line<'a>> = finding
            .atoms()
            .map(|atom| self.line(&finding, &atom.fingerprint(), things(atom.names())))
            .collect();
        let with = |wanted: &dyn Fn(&Line<'a>) -> bool| {
            let mut lines = lines.iter();
            finding.only(|_| lines.next().is_some_and(wanted))
        };
        let accepted = lines.iter().find_map(|line| match line {
            Line::Accepts(line) => Some(line.value.signed),
            _ => None,
        });
        let outgrown = lines.iter().find_map(|line| match line {
            Line::Outgrown(line) => line.value.signed,
            _ => None,
        });
        known.extend(
            with(&|line| matches!(line, Line::Accepts(_))).map(|finding| Known {
                finding,
                signed: accepted.flatten(),
            }),
        );
        let rest = with(&|line| !matches!(line, Line::Accepts(_)));
        standing.extend(rest.map(|finding| told_outgrown(outgrown, finding)));
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

    /// Uses up the line of a fault, the least grave that accepts it. A finding that has become graver
    /// than it was is not the one that was accepted.
    fn line(&mut self, finding: &Finding, fingerprint: &str, names: String) -> Line<'a> {
        let words = (finding.rule, Cow::Owned(names));
        let same = self.free.get_mut(fingerprint);
        let Some(lines) = same.and_then(|same| same.get_mut(&words)) else {
            return Line::Missing;
        };
        let bears = |snag: &&'a Spanned<Snag>| {
            let signed = snag.value.signed;
            signed.is_none_or(|signed| is_within(signed, finding))
        };
        let mut grave_enough = lines.range_mut(finding.level..);
        let borne = grave_enough.find_map(|(_, lines)| {
            let at = lines.iter().position(&bears)?;
            lines.remove(at)
        });
        let first = |(_, lines): &(&Level, &mut VecDeque<&'a Spanned<Snag>>)| {
            lines.front().map(|snag| snag.span)
        };
        match borne {
            Some(snag) => Line::Accepts(snag),
            None => {
                let meant = lines.range_mut(finding.level..);
                let meant = meant.filter(|(_, lines)| !lines.is_empty());
                let outgrown = meant.min_by_key(first);
                let outgrown = outgrown.and_then(|(_, lines)| lines.pop_front());
                outgrown.map_or(Line::Missing, Line::Outgrown)
            }
        }
    }

    /// The lines that accepted nothing, in the order of the list. One that was outgrown is not
    /// among them: its fault is there, and worse.
    pub fn idle(self) -> Vec<&'a Spanned<Snag>> {
        let same = self.free.into_values().flat_map(FxHashMap::into_values);
        let left = same.flat_map(BTreeMap::into_values).flatten();
        let mut idle: Vec<_> = left.chain(self.void).collect();
        idle.sort_by_key(|snag| snag.span);
        idle
    }
}

fn names(finding: &Finding) -> String {
    things(finding.about.iter().map(|name| name.as_str()))
}

/// Adds to a finding that grew beyond its line what the line was written at.
fn told_outgrown(signed: Option<Signed>, mut finding: Finding) -> Finding {
    let told = signed.and_then(|signed| outgrown("accepted as known", signed, &finding));
    finding.arithmetic.extend(told);
    finding
}

/// What is told of a number that grew beyond what was agreed to.
pub fn outgrown(how: &str, signed: Signed, finding: &Finding) -> Option<Arithmetic> {
    let now = finding.measure?;
    Some(format!(
        "{how} at {}; it is now {}",
        signed.show(),
        now.show()
    ))
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
