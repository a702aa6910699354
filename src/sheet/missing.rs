//! The facts that are missing at a site, those first that most questions hang on.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::finding::{Asked, Fact, Finding, Level, Verdict};
use crate::ink::short;
use crate::report::count;
use crate::schedule::{Column, Row, Schedule, names, numbers, words};
use crate::tables::words::Words;

/// A fact that is missing, and what hangs on it.
#[derive(Clone, Debug)]
pub struct Missing {
    /// The fact.
    pub fact: Fact,
    /// Points that are not decided for want of it.
    pub questions: usize,
    /// Those of them that want no other fact.
    pub closes: usize,
    /// The level of the gravest rule that asks.
    pub gravest: Level,
    /// The rules that ask, by name.
    pub rules: BTreeSet<&'static str>,
    /// The value that decides, where there is one.
    pub decides: Option<String>,
}

/// The facts that findings want: by where one must go, the place first that closes most, and there those
/// first that most questions hang on, the gravest first of equals.
pub fn missing(findings: &[Finding]) -> Vec<Missing> {
    let mut facts: BTreeMap<&Fact, Missing> = BTreeMap::new();
    let open = findings.iter().filter(|f| f.verdict == Verdict::Open);
    for finding in open {
        for fact in &finding.wants {
            let missing = facts.entry(fact).or_insert_with(|| Missing {
                fact: fact.clone(),
                questions: 0,
                closes: 0,
                gravest: Level::Note,
                rules: BTreeSet::new(),
                decides: None,
            });
            missing.questions += 1;
            missing.closes += usize::from(finding.wants.len() == 1);
            missing.gravest = missing.gravest.max(finding.level);
            missing.rules.insert(finding.rule);
        }
    }
    let mut facts: Vec<Missing> = facts.into_values().collect();
    let place = |missing: &Missing| missing.fact.asked().map(|asked| asked.at);
    let mut at_place = BTreeMap::new();
    for missing in &facts {
        *at_place.entry(place(missing)).or_insert(0) += missing.questions;
    }
    facts.sort_by_cached_key(|missing| {
        let place = place(missing);
        let there = at_place.get(&place).copied().unwrap_or_default();
        let own = (Reverse(missing.questions), Reverse(missing.gravest));
        (Reverse(there), place, own, missing.fact.clone())
    });
    facts
}

const COLUMNS: &[Column] = &[
    words("where"),
    names("thing"),
    names("key"),
    words("find out"),
    words("like"),
    words("decides"),
    numbers("questions"),
    words("answer"),
    words("day"),
];

/// The sheet of facts, with room for the answers.
pub fn schedule((site, words): (Option<&str>, &Words), facts: &[Missing], open: usize) -> Schedule {
    let title = match site {
        Some(site) => format!("Survey of {}", short(site)),
        None => "Survey".to_owned(),
    };
    Schedule {
        title,
        columns: COLUMNS,
        rows: facts.iter().map(|fact| row(fact, words)).collect(),
        notes: notes(facts, open),
        ..Schedule::default()
    }
}

fn row(missing: &Missing, words: &Words) -> Row {
    let fact = &missing.fact;
    let asked = fact.asked();
    let read = asked.map(|asked| asked.read.said_in(words));
    let of = |part: fn(Asked) -> &'static str| asked.map_or("", part).to_owned();
    vec![
        of(|asked| asked.at.word()),
        fact.whose(),
        fact.full_key(),
        read.unwrap_or_default().into_owned(),
        of(|asked| asked.like),
        missing.decides.clone().unwrap_or_default(),
        missing.questions.to_string(),
        String::new(),
        String::new(),
    ]
}

fn notes(facts: &[Missing], open: usize) -> Vec<String> {
    let wanted = match facts.len() {
        0 if open == 0 => "No fact is missing for what is judged.".to_owned(),
        0 => format!(
            "{}, and no key of the format would decide them: \"cordwright check\" says why.",
            points(open)
        ),
        some => format!(
            "{} would close up to {} of {}.",
            count(some, "fact", "facts"),
            facts
                .iter()
                .map(|missing| missing.questions)
                .sum::<usize>()
                .min(open),
            points(open)
        ),
    };
    let mut notes = vec![wanted];
    if !facts.is_empty() {
        notes.push("Write what you read, with its unit, under \"answer\"; never a guess. \"cordwright take-in FILE.csv --of survey\" puts the answers into the definitions.".to_owned());
    }
    notes
}

fn points(open: usize) -> String {
    count(open, "open point", "open points")
}
