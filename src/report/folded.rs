//! Findings as people read them: a fact that is missing once, with all that hangs on it; many findings
//! of one kind as the worst of them, with the others named; the gravest first. One pure function over
//! what was found; programs get every finding as it is.

use std::cmp::Reverse;
use std::hash::Hash;

use rustc_hash::FxHashMap;

use crate::finding::{Fact, Finding, Level, Verdict};
use crate::rules::{hides_others, is_of_records};
use crate::source::Span;

/// What is told in one piece.
#[derive(Debug)]
pub struct Folded<'a> {
    /// The one that is told in full.
    pub lead: &'a Finding,
    /// The others.
    pub others: Vec<&'a Finding>,
    /// What makes them one.
    pub by: Fold<'a>,
}

/// What makes several findings one piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold<'a> {
    /// The fact that they want.
    Fact(&'a Fact),
    /// Facts of one key that many things of a kind lack; the first of them.
    Facts(&'a Fact),
    /// The place of what no key would decide.
    Place,
    /// Their kind: a rule, and what of it is broken.
    Kind,
}

/// So many findings of one kind are told one by one.
const ONE_BY_ONE: usize = 4;

/// The pieces that findings make, the gravest first. What was there before a change is counted in the
/// closing words, and not told again.
pub fn folded<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Vec<Folded<'a>> {
    folded_above(ONE_BY_ONE, findings)
}

/// The same with every broken finding, and every fact, told by itself.
pub fn one_by_one<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Vec<Folded<'a>> {
    folded_above(usize::MAX, findings)
}

fn folded_above<'a>(
    most: usize,
    findings: impl IntoIterator<Item = &'a Finding>,
) -> Vec<Folded<'a>> {
    let told = findings.into_iter().filter(|f| !f.since.is_old());
    let (open, broken): (Vec<_>, Vec<_>) = told.partition(|f| f.verdict == Verdict::Open);
    let kind = |f: &&Finding| (f.rule, f.kind, f.level, f.since.word());
    let (of_facts, others): (Vec<_>, Vec<_>) = open
        .into_iter()
        .partition(|finding| !finding.wants.is_empty());
    let kinds = gathered(broken, kind).into_iter();
    let kinds = kinds.flat_map(|group| by_kind(group, most));
    let facts = gathered(of_facts, |finding| finding.wants.first());
    let keys = gathered(facts, |group| {
        let fact = group.first().and_then(|finding| finding.wants.first());
        fact.map(|fact| (fact.kind, &fact.key, fact.state))
    });
    let facts = keys.into_iter().flat_map(|groups| by_key(groups, most));
    let places = gathered(others, |finding| finding.main.span).into_iter();
    let places = places.filter_map(|group| piece(group, 0, Fold::Place));
    let mut pieces: Vec<Folded<'a>> = kinds.chain(facts).chain(places).collect();
    pieces.sort_by_cached_key(Folded::weight);
    pieces
}

/// Things by what they have in common, in the order of the first of each group.
pub(super) fn gathered<T, K: Eq + Hash>(things: Vec<T>, key: impl Fn(&T) -> K) -> Vec<Vec<T>> {
    let mut known: FxHashMap<K, usize> = FxHashMap::default();
    let mut groups: Vec<Vec<T>> = Vec::new();
    for thing in things {
        let at = *known.entry(key(&thing)).or_insert(groups.len());
        match groups.get_mut(at) {
            Some(group) => group.push(thing),
            None => groups.push(vec![thing]),
        }
    }
    groups
}

/// Facts of one key, each with what hangs on it: many are one piece.
fn by_key<'a>(groups: Vec<Vec<&'a Finding>>, most: usize) -> Vec<Folded<'a>> {
    if groups.len() <= most {
        return groups.into_iter().filter_map(by_fact).collect();
    }
    let all: Vec<&'a Finding> = groups.into_iter().flatten().collect();
    let piece = by_fact(all).map(|piece| Folded {
        by: match piece.by {
            Fold::Fact(fact) => Fold::Facts(fact),
            other => other,
        },
        ..piece
    });
    piece.into_iter().collect()
}

fn piece<'a>(mut group: Vec<&'a Finding>, lead: usize, by: Fold<'a>) -> Option<Folded<'a>> {
    let lead = (lead < group.len()).then(|| group.remove(lead))?;
    Some(Folded {
        lead,
        others: group,
        by,
    })
}

fn by_kind(group: Vec<&Finding>, most: usize) -> Vec<Folded<'_>> {
    if group.len() > most {
        let worst = worst(&group);
        return piece(group, worst, Fold::Kind).into_iter().collect();
    }
    let alone = group.into_iter();
    alone
        .filter_map(|finding| piece(vec![finding], 0, Fold::Kind))
        .collect()
}

/// The question of the gravest rule leads.
fn by_fact(group: Vec<&Finding>) -> Option<Folded<'_>> {
    let fact = group.first()?.wants.first()?;
    let numbered = group.iter().enumerate();
    let lead = numbered.min_by_key(|(at, finding)| (Reverse(finding.level), *at));
    let lead = lead.map_or(0, |(at, _)| at);
    piece(group, lead, Fold::Fact(fact))
}

/// The one that lies furthest beyond its limit; the first where nothing is measured.
fn worst(group: &[&Finding]) -> usize {
    let mut worst = 0;
    for (at, finding) in group.iter().enumerate() {
        if let (Some(own), Some(so_far)) = (finding.measure, group[worst].measure)
            && own.is_like(&so_far)
            && own.is_beyond(&so_far)
        {
            worst = at;
        }
    }
    worst
}

impl<'a> Folded<'a> {
    /// All of them, the one that is told in full first.
    pub fn all(&self) -> impl Iterator<Item = &'a Finding> {
        std::iter::once(self.lead).chain(self.others.iter().copied())
    }

    /// How many they are.
    pub fn count(&self) -> usize {
        self.others.len() + 1
    }

    /// Of a missing fact that several questions hang on, or of many of one key: the first of them.
    pub fn fact(&self) -> Option<&'a Fact> {
        match self.by {
            Fold::Fact(fact) | Fold::Facts(fact) if !self.others.is_empty() => Some(fact),
            _ => None,
        }
    }

    /// The facts that are asked for first, each once.
    pub fn facts(&self) -> Vec<&'a Fact> {
        let facts = self.all().filter_map(|finding| finding.wants.first());
        let mut facts: Vec<&Fact> = facts.collect();
        facts.sort_unstable();
        facts.dedup();
        facts
    }

    /// What a reader should come to first: what hides other faults, then by level, what is broken before
    /// what is not decided, what is wrong with a record before what follows from it; of facts the one that
    /// most questions hang on.
    fn weight(&self) -> (bool, Reverse<Level>, Verdict, bool, Reverse<usize>, Span) {
        let lead = self.lead;
        let questions = match lead.verdict {
            Verdict::Open => self.count(),
            Verdict::Broken => 0,
        };
        let first = self.all().map(|finding| finding.main.span).min();
        let first = first.unwrap_or(lead.main.span);
        (
            !hides_others(lead),
            Reverse(lead.level),
            lead.verdict,
            !is_of_records(lead.rule),
            Reverse(questions),
            first,
        )
    }
}

/// What is asked by an open point, without what is missing for the answer.
pub fn question(finding: &Finding) -> &str {
    let headline = finding.headline.as_str();
    let asked = headline.find("? ").map(|at| at + 1);
    let end = asked.or_else(|| headline.find(" cannot be said"));
    &headline[..end.unwrap_or(headline.len())]
}

#[cfg(test)]
mod tests {
    use super::super::sample::{place, plain, sample};
    use super::*;
    use crate::finding::{FactState, Measure, Place};
    use crate::quantity::amperes;

    fn wanting(rule: &'static str, at: &Place, key: &str) -> Finding {
        Finding {
            verdict: Verdict::Open,
            wants: vec![Fact {
                span: at.span,
                kind: "device model",
                owner: "lamp".into(),
                key: key.into(),
                within: Default::default(),
                state: FactState::Absent,
            }],
            ..plain(rule, at.clone())
        }
    }

    #[test]
    fn a_missing_fact_is_one_piece_and_facts_at_one_place_are_two() {
        let sample = sample();
        let here = place(&sample.sources, "cords.yaml", "W-0413", "here");
        let findings = [
            Finding {
                level: Level::Warning,
                ..wanting("voltage-drop", &here, "power-factor")
            },
            wanting("bank-overloaded", &here, "power-factor"),
            wanting("earth-leakage", &here, "earth-current"),
        ];
        let told: Vec<(&str, usize, bool)> = folded(&findings)
            .iter()
            .map(|piece| (piece.lead.rule, piece.count(), piece.fact().is_some()))
            .collect();
        let expected = [("bank-overloaded", 2, true), ("earth-leakage", 1, false)];
        assert_eq!(told, expected);
    }

    #[test]
    fn one_key_that_many_things_lack_is_one_piece_and_each_fact_is_counted() {
        let sample = sample();
        let at = place(&sample.sources, "cords.yaml", "W-0413", "here");
        let of = |number: usize| {
            let mut finding = wanting("voltage-drop", &at, "power-factor");
            finding.wants[0].owner = format!("lamp-{number}").into();
            finding
        };
        let many: Vec<Finding> = (0..5).map(of).collect();
        let pieces = folded(&many);
        assert_eq!(pieces.len(), 1);
        assert_eq!(pieces[0].facts().len(), 5);
        assert!(matches!(pieces[0].by, Fold::Facts(_)));
        assert_eq!(folded(&many[..4]).len(), 4);
        assert_eq!(one_by_one(&many).len(), 5);
    }

    #[test]
    fn many_of_one_kind_are_told_by_the_worst_and_few_one_by_one() {
        let sample = sample();
        let at = place(&sample.sources, "cords.yaml", "W-0413", "here");
        let measured = |value: f64| Finding {
            measure: Some(Measure::above(amperes(value), amperes(10.0))),
            ..plain("bank-overloaded", at.clone())
        };
        let many: Vec<Finding> = [11.0, 12.0, 15.0, 13.0, 11.5].map(measured).into();
        let pieces = folded(&many);
        assert_eq!(pieces.len(), 1);
        assert_eq!(pieces[0].lead.measure, many[2].measure);
        assert_eq!(pieces[0].others.len(), 4);
        assert_eq!(folded(&many[..4]).len(), 4);
    }

    #[test]
    fn what_weighs_most_comes_first() {
        let sample = sample();
        let at = place(&sample.sources, "cords.yaml", "W-0413", "here");
        let weighing = |rule, level| Finding {
            level,
            ..plain(rule, at.clone())
        };
        let findings = [
            weighing("load-basis", Level::Note),
            weighing("line-overloaded", Level::Error),
            weighing("load-basis", Level::Error),
            wanting("earth-leakage", &at, "earth-current"),
            weighing("feed-colour", Level::Warning),
            weighing("unreadable-file", Level::Warning),
        ];
        let rules: Vec<&str> = folded(&findings).iter().map(|p| p.lead.rule).collect();
        let expected = [
            "unreadable-file",
            "load-basis",
            "line-overloaded",
            "earth-leakage",
            "feed-colour",
            "load-basis",
        ];
        assert_eq!(rules, expected);
    }
}
