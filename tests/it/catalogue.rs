//! The whole catalogue at once: no rule has anything to say of a sound site, and each finds exactly
//! its own mistake where one is planted.

use std::collections::BTreeMap;

use cordwright::finding::{Finding, Level};
use cordwright::judgement::Judgement;
use rayon::prelude::*;

use crate::dice::Dice;
use crate::mistakes::bench::Bench;
use crate::mistakes::{self, Mutator, Planted, Spot};
use crate::site::{annotated, judged};
use crate::sound::layout::{Place, Written, write};
use crate::sound::tree::Node;

/// Sites that are tried, if the environment does not ask for more.
const SITES: u64 = 2000;
/// Mutators that are tried on a site.
const TRIED: usize = 12;
/// Mistakes that are planted in a site, each by itself.
const PLANTED: usize = 2;

fn sites() -> u64 {
    std::env::var("CORDWRIGHT_SITES").map_or(SITES, |sites| sites.parse().unwrap())
}

fn judge(written: &Written) -> Judgement {
    judged(&written.files.clone().into_iter().collect())
}

#[test]
fn nothing_is_said_of_sound_sites() {
    let said: Vec<String> = (0..sites())
        .into_par_iter()
        .filter_map(|seed| {
            let written = write(&crate::sound::site(seed), seed);
            let judgement = judge(&written);
            let text = || {
                format!(
                    "seed {seed}\n{}",
                    annotated(&judgement, &judgement.findings)
                )
            };
            (!judgement.findings.is_empty() || !judgement.crashed.is_empty()).then(text)
        })
        .collect();
    assert!(
        said.is_empty(),
        "{} sites, the first:\n{}",
        said.len(),
        said[0]
    );
}

/// What came of one planted mistake.
struct Outcome {
    found: bool,
    exact: bool,
    surplus: Vec<String>,
    report: String,
}

/// A mistake ready to be judged.
struct Trial {
    mutator: usize,
    seed: u64,
}

fn plant(mutator: &Mutator, site: &Node, seed: u64) -> Option<(Node, Planted)> {
    let mut bench = Bench {
        site: site.clone(),
        dice: Dice::new(seed.wrapping_add(0x1234)),
    };
    let planted = (mutator.plant)(&mut bench)?;
    Some((bench.site, planted))
}

fn places(written: &Written, planted: &Planted) -> Vec<Place> {
    let resolve = |spot: &Spot| match spot {
        Spot::Key(path) => written
            .keys
            .get(path)
            .and_then(|places| places.iter().max().cloned()),
        Spot::Value(path) => written
            .values
            .get(path)
            .and_then(|places| places.last().cloned()),
    };
    planted.at.iter().filter_map(resolve).collect()
}

fn place_of(judgement: &Judgement, finding: &Finding) -> Place {
    let span = finding.main.span;
    let source = judgement.sources.file(span.file);
    Place {
        file: source.path.clone(),
        lo: span.lo as usize,
        hi: span.hi as usize,
    }
}

fn outcome(mutator: &Mutator, trial: &Trial) -> Outcome {
    let (site, planted) = plant(mutator, &crate::sound::site(trial.seed), trial.seed).unwrap();
    let written = write(&site, trial.seed);
    let judgement = judge(&written);
    let wanted = places(&written, &planted);
    assert!(
        !wanted.is_empty(),
        "{} ({}), seed {}: {:?} stands nowhere",
        mutator.rule,
        mutator.what,
        trial.seed,
        planted.at
    );
    let own: Vec<&Finding> = judgement
        .findings
        .iter()
        .filter(|finding| finding.rule == mutator.rule)
        .collect();
    let hit = own
        .iter()
        .find(|finding| wanted.contains(&place_of(&judgement, finding)));
    let level = |finding: &Finding| {
        planted
            .level
            .is_none_or(|level: Level| finding.level == level)
    };
    let is_also = |rule: &str| mutator.also.iter().any(|(also, _)| *also == rule);
    let surplus: Vec<&Finding> = judgement
        .findings
        .iter()
        .filter(|finding| {
            !is_also(finding.rule)
                && (finding.rule != mutator.rule
                    || hit.is_some_and(|hit| !std::ptr::eq(*hit, *finding)))
        })
        .collect();
    let report = format!(
        "{} ({}), seed {}: wanted {:?} at {wanted:?}\n{}",
        mutator.rule,
        mutator.what,
        trial.seed,
        planted.level,
        annotated(&judgement, &judgement.findings)
    );
    Outcome {
        found: !own.is_empty(),
        exact: hit.is_some_and(|finding| level(finding)),
        surplus: surplus
            .iter()
            .map(|finding| finding.rule.to_owned())
            .collect(),
        report,
    }
}

/// Which mistakes are planted in which sites: on every site those of its share of the mutators that
/// have been planted the least so far.
fn trials(mutators: &[&'static Mutator]) -> Vec<Trial> {
    let able: Vec<Vec<usize>> = (0..sites())
        .into_par_iter()
        .map(|seed| {
            let first = seed as usize * TRIED;
            let site = crate::sound::site(seed);
            let shares = (0..TRIED).map(|at| (first + at) % mutators.len());
            shares
                .filter(|at| plant(mutators[*at], &site, seed).is_some())
                .collect()
        })
        .collect();
    let mut counts = vec![0; mutators.len()];
    let mut trials = Vec::new();
    for (seed, mut able) in able.into_iter().enumerate() {
        able.sort_by_key(|at| counts[*at]);
        for mutator in able.into_iter().take(PLANTED) {
            counts[mutator] += 1;
            trials.push(Trial {
                mutator,
                seed: seed as u64,
            });
        }
    }
    trials
}

#[test]
fn every_planted_mistake_is_found_by_its_rule_alone() {
    let mutators = mistakes::all();
    let trials = trials(&mutators);
    let outcomes: Vec<(usize, Outcome)> = trials
        .par_iter()
        .map(|trial| (trial.mutator, outcome(mutators[trial.mutator], trial)))
        .collect();
    let mut lines =
        BTreeMap::<usize, (usize, usize, usize, usize, BTreeMap<String, usize>, String)>::new();
    for (mutator, outcome) in outcomes {
        let line = lines.entry(mutator).or_default();
        line.0 += 1;
        line.1 += usize::from(outcome.found);
        line.2 += usize::from(outcome.exact);
        line.3 += usize::from(!outcome.surplus.is_empty());
        for rule in &outcome.surplus {
            *line.4.entry(rule.clone()).or_default() += 1;
        }
        if line.5.is_empty() && (!outcome.exact || !outcome.surplus.is_empty()) {
            line.5 = outcome.report;
        }
    }
    for (at, mutator) in mutators.iter().enumerate() {
        let none = Default::default();
        let (planted, found, exact, surplus, rules, report) = lines.get(&at).unwrap_or(&none);
        println!(
            "| {} | {} | {planted} | {found} | {exact} | {surplus} {rules:?}",
            mutator.rule, mutator.what
        );
        if !report.is_empty()
            && std::env::var_os("CORDWRIGHT_TELL")
                .is_some_and(|rule| rule == mutator.rule || rule == "all")
        {
            println!("{report}");
        }
    }
    panic!();
}
