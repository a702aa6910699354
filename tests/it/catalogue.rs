//! The whole catalogue at once: no rule has anything to say of a sound site, and each finds exactly
//! its own mistake where one is planted.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use cordwright::finding::{Finding, Level};
use cordwright::judgement::Judgement;
use cordwright::rules::{Check, RULES};
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
const TRIED: usize = 16;
/// Mistakes that are planted in a site, each by itself.
const PLANTED: usize = 2;
/// Times that each mutator must have been used.
const LEAST: usize = 20;

fn sites() -> u64 {
    std::env::var("CORDWRIGHT_SITES").map_or(SITES, |sites| sites.parse().unwrap())
}

pub fn judge(written: &Written) -> Judgement {
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
    /// Findings of rules that have nothing to do with it.
    surplus: usize,
    also: BTreeSet<&'static str>,
    report: String,
}

/// A mistake ready to be judged.
struct Trial {
    mutator: usize,
    seed: u64,
}

pub fn plant(mutator: &Mutator, site: &Node, seed: u64) -> Option<(Node, Planted)> {
    let mut bench = Bench {
        site: site.clone(),
        dice: Dice::new(seed.wrapping_add(0x1234)),
    };
    let planted = (mutator.plant)(&mut bench)?;
    Some((bench.site, planted))
}

/// Where a finding must point: at one of these.
fn places(written: &Written, planted: &Planted) -> Vec<Place> {
    planted
        .at
        .iter()
        .filter_map(|spot| resolve(written, spot))
        .collect()
}

fn resolve(written: &Written, spot: &Spot) -> Option<Place> {
    match spot {
        Spot::Key(path) => written.keys.get(path)?.iter().max().cloned(),
        Spot::Value(path) => written.values.get(path)?.last().cloned(),
        Spot::Word(path) => {
            let whole = written.values.get(path)?.last()?;
            let text = &written.files[&whole.file];
            let quote = usize::from(text.as_bytes()[whole.lo] == b'"');
            let (lo, hi) = (whole.lo + quote, whole.hi - quote);
            Some(Place {
                lo,
                hi,
                ..whole.clone()
            })
        }
        Spot::Start(path, bytes) => {
            let whole = written.values.get(path)?.last()?;
            Some(Place {
                hi: whole.lo + bytes,
                ..whole.clone()
            })
        }
        Spot::Bytes(file, lo, hi) => Some(Place {
            file: (*file).to_owned(),
            lo: *lo,
            hi: *hi,
        }),
    }
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
    let mut written = write(&site, trial.seed);
    let file = planted
        .file
        .map(|(path, text)| (path.to_owned(), text.to_owned()));
    written.files.extend(file);
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
    let is_hit = |finding: &Finding| hit.is_some_and(|hit| std::ptr::eq(*hit, finding));
    let others = judgement.findings.iter().filter(|finding| !is_hit(finding));
    let (also, surplus): (Vec<&Finding>, Vec<&Finding>) =
        others.partition(|finding| is_also(finding.rule));
    let exact = hit.is_some_and(|finding| level(finding));
    // Where it is found elsewhere, that finding is none too many.
    let surplus = surplus
        .iter()
        .filter(|finding| hit.is_some() || finding.rule != mutator.rule)
        .count();
    let is_clean = exact && surplus == 0;
    let report = || {
        format!(
            "== {} ({}), seed {}: wanted {:?} at {wanted:?}\n{}\n",
            mutator.rule,
            mutator.what,
            trial.seed,
            planted.level,
            annotated(&judgement, &judgement.findings)
        )
    };
    Outcome {
        found: !own.is_empty(),
        exact,
        surplus,
        also: also.iter().map(|finding| finding.rule).collect(),
        report: if is_clean { String::new() } else { report() },
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

/// What came of all the mistakes of one rule, or of one mutator.
#[derive(Clone, Debug, Default)]
struct Tally {
    planted: usize,
    found: usize,
    exact: usize,
    surplus: usize,
    /// Rules that may speak as well, and have.
    also: BTreeSet<&'static str>,
    /// What was said where the first mistake was not found as it should be.
    report: String,
}

impl Tally {
    fn add(&mut self, outcome: &Outcome) {
        self.planted += 1;
        self.found += usize::from(outcome.found);
        self.exact += usize::from(outcome.exact);
        self.surplus += outcome.surplus;
        self.also.extend(&outcome.also);
        if self.report.is_empty() {
            self.report.clone_from(&outcome.report);
        }
    }
}

#[test]
fn every_planted_mistake_is_found_by_its_rule_alone() {
    let mutators = mistakes::all();
    let trials = trials(&mutators);
    let judge = |trial: &Trial| (trial.mutator, outcome(mutators[trial.mutator], trial));
    let outcomes: Vec<(usize, Outcome)> = trials.par_iter().map(judge).collect();
    let mut tallies = vec![Tally::default(); mutators.len()];
    outcomes
        .iter()
        .for_each(|(mutator, outcome)| tallies[*mutator].add(outcome));
    let mut wrong = String::new();
    for (mutator, tally) in mutators.iter().zip(&tallies) {
        let name = format!("{} ({})", mutator.rule, mutator.what);
        wrong.push_str(&tally.report);
        if sites() >= SITES && tally.planted < LEAST {
            writeln!(wrong, "{name}: planted {} times only\n", tally.planted).unwrap();
        }
        for (also, _) in mutator
            .also
            .iter()
            .filter(|(also, _)| sites() >= SITES && !tally.also.contains(also))
        {
            writeln!(wrong, "{name}: {also} never spoke as well\n").unwrap();
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    if sites() == SITES {
        hold_the_table(&table(&mutators, &tallies, &outcomes));
    }
}

/// The outcome rule by rule, as it stands in tests/generator/README.md.
fn table(mutators: &[&Mutator], tallies: &[Tally], outcomes: &[(usize, Outcome)]) -> String {
    let mut table = String::from(
        "| rule | planted | found | at the exact place | surplus findings |\n|---|---|---|---|---|\n",
    );
    let mut line = |name: &str, does: &dyn Fn(&Mutator) -> bool| {
        let own = mutators
            .iter()
            .zip(tallies)
            .filter(|(mutator, _)| does(mutator));
        let sum = |of: fn(&Tally) -> usize| own.clone().map(|(_, tally)| of(tally)).sum::<usize>();
        let (planted, found) = (sum(|tally| tally.planted), sum(|tally| tally.found));
        let (exact, surplus) = (sum(|tally| tally.exact), sum(|tally| tally.surplus));
        writeln!(
            table,
            "| {name} | {planted} | {found} | {exact} | {surplus} |"
        )
        .unwrap();
    };
    for rule in RULES
        .iter()
        .filter(|rule| !matches!(rule.check, Check::Changed(_)))
    {
        line(rule.name, &|mutator| mutator.rule == rule.name);
    }
    line("**all**", &|_| true);
    let planted = outcomes.len();
    format!(
        "{SITES} sound sites: nothing said. {planted} mistakes, {PLANTED} at most in each site, each by itself:\n\n{table}"
    )
}

/// Compares the table with the one in tests/generator/README.md, or writes it there.
fn hold_the_table(table: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/generator/README.md");
    let text = fs::read_to_string(&path).unwrap();
    let (begin, end) = (
        "<!-- proof: made by the test that checks this table -->\n",
        "<!-- end of proof -->",
    );
    let from = text.find(begin).expect("the table's begin mark") + begin.len();
    let to = text.find(end).expect("the table's end mark");
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        fs::write(&path, format!("{}{table}{}", &text[..from], &text[to..])).unwrap();
    } else {
        assert_eq!(
            &text[from..to],
            table,
            "the table in tests/generator/README.md"
        );
    }
}

#[test]
fn every_rule_has_a_mistake_to_find() {
    let planted: BTreeSet<&str> = mistakes::all().iter().map(|mutator| mutator.rule).collect();
    // What looks at a change is planted in `compare.rs`: one state of a site cannot hold it.
    let of_one_state = RULES
        .iter()
        .filter(|rule| !matches!(rule.check, Check::Changed(_)));
    let rules: BTreeSet<&str> = of_one_state.map(|rule| rule.name).collect();
    assert_eq!(planted, rules);
}
