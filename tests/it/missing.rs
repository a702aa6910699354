//! Nothing that is missing may silence a rule: what was found stays found, or is asked, whatever fact
//! cannot be read or is not written.
//!
//! Every fact is tried of the examples that set a rule off, and some of each other example and of
//! generated sites with a mistake. With `CORDWRIGHT_SITES` so many of the latter are made, and all
//! facts of all sites are tried.

pub mod exceptions;
pub mod facts;
pub mod kept;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Mutex;

use cordwright::judgement::Judgement;
use rayon::prelude::*;

use crate::catalogue::plant;
use crate::dice::Dice;
use crate::mistakes;
use crate::pages::example_sites;
use crate::site::{Files, judged};
use crate::sound::layout::write;
use exceptions::{EXCEPTIONS, Used, is_free, is_named};
use facts::{Fact, Loss};
use kept::{Change, Missed, Written};

/// Generated sites that are tried, if the environment does not ask for more.
const SITES: u64 = 40;
/// Of so many facts one is tried, if the environment does not ask for more.
const SHARE: usize = 12;

fn asked() -> Option<u64> {
    let sites = std::env::var("CORDWRIGHT_SITES").ok()?;
    Some(sites.parse().unwrap())
}

/// A site in which something is found.
pub struct Case {
    name: String,
    pub files: Files,
    before: Judgement,
}

impl Case {
    fn new(name: String, files: Files) -> Option<Self> {
        let before = judged(&files);
        let is_found = !before.findings.is_empty();
        is_found.then_some(Self {
            name,
            files,
            before,
        })
    }
}

fn examples() -> Vec<Case> {
    let sites = example_sites().into_par_iter().enumerate();
    let case = |(at, files)| Case::new(format!("example {at}"), files);
    sites.filter_map(case).collect()
}

/// Generated sites with one mistake each, going through all mistakes.
pub fn generated() -> Vec<Case> {
    let mutators = mistakes::all();
    let case = |seed: u64| {
        let sound = crate::sound::site(seed);
        let order = (0..mutators.len()).map(|at| (seed as usize * 37 + at) % mutators.len());
        let mut planted = order.filter_map(|at| Some((at, plant(mutators[at], &sound, seed)?.0)));
        let (at, site) = planted.next()?;
        let name = format!("seed {seed}, {}", mutators[at].what);
        Case::new(name, write(&site, seed).files.into_iter().collect())
    };
    let seeds = 0..asked().unwrap_or(SITES);
    seeds.into_par_iter().filter_map(case).collect()
}

fn cases() -> Vec<Case> {
    let mut cases = examples();
    cases.extend(generated());
    cases
}

/// A rule that fell silent, and what became of which key.
type Silence = (&'static str, String, Loss);

/// What is silent and should not be: by rule, key and loss, with where it was seen.
#[derive(Default)]
struct Outcome {
    used: Used,
    silences: Mutex<BTreeMap<Silence, Vec<String>>>,
    /// Keys under which any text can be read.
    free: Mutex<BTreeMap<String, String>>,
}

impl Outcome {
    /// Compares what is said before and after the last of these facts went missing; whether something
    /// could be compared.
    fn compare(&self, case: &Case, before: &Judgement, lost: &[(&Fact, Loss)]) -> bool {
        let Some(files) = facts::without(&case.files, lost) else {
            return false;
        };
        let missed = lost.iter().filter_map(|lost| Missed::of(&files, *lost));
        let missed: Vec<Missed> = missed.collect();
        let Some(((fact, loss), last)) = lost.last().zip(missed.last()) else {
            return false;
        };
        let (after, key) = (judged(&files), fact.key());
        assert!(
            after.crashed.is_empty(),
            "{}: {:?}",
            case.name,
            after.crashed
        );
        if *loss == Loss::Unreadable && !last.is_told_unreadable(&after) {
            // A section that no catalogue may have is told as a whole, and no key of it is read.
            if case.files[fact.file].0.starts_with("../") {
                return false;
            }
            let way = format!("{}: {}", case.name, fact.path.join(" "));
            self.free.lock().unwrap().insert(key, way);
            return false;
        }
        let first = facts::without(&case.files, &lost[..lost.len() - 1]);
        let text = first.and_then(|first| Written::of(&first, fact));
        let Some(text) = text else {
            return false;
        };
        for silenced in Change::new(before, &after, &missed).silenced(&text) {
            if self.used.excepts(silenced.rule, &key, *loss) {
                continue;
            }
            let way: Vec<String> = lost.iter().map(|(fact, _)| fact.path.join(" ")).collect();
            let told = format!("{}: {}: {}", case.name, way.join(", "), silenced.headline);
            let mut silences = self.silences.lock().unwrap();
            let group = silences.entry((silenced.rule, key.clone(), *loss));
            group.or_default().push(told);
        }
        true
    }

    fn report(self) -> String {
        let mut report = String::new();
        for ((rule, key, loss), told) in self.silences.into_inner().unwrap() {
            let (count, first) = (told.len(), &told[0]);
            writeln!(report, "{rule}\t{key}\t{loss:?}\t{count}\t{first}").unwrap();
        }
        report
    }
}

/// The facts of a site that are tried, each way: those that a list names, and by chance.
fn tried(case: &Case, number: usize) -> Vec<(Fact, Loss)> {
    let mut dice = Dice::new(number as u64);
    let facts = facts::all(&case.files).into_iter();
    let each = facts.flat_map(|fact| [(fact.clone(), Loss::Unreadable), (fact, Loss::Deleted)]);
    let each = each.filter(|(fact, loss)| *loss == Loss::Unreadable || !fact.is_thing());
    let speaking = case.before.findings.iter().map(|finding| finding.rule);
    let speaking: BTreeSet<&str> = speaking.collect();
    let mut is_tried = |fact: &Fact, loss| {
        asked().is_some() || dice.below(SHARE) == 0 || is_named(&speaking, &fact.key(), loss)
    };
    each.filter(|(fact, loss)| is_tried(fact, *loss)).collect()
}

/// The facts that are missing together: some, and one more.
const SETS: [usize; 3] = [1, 3, 8];
/// How often a further fact is taken away from each of these sets, if the environment does not ask for
/// more.
const FURTHER: usize = 1;

/// Facts of a site in an order of chance, each lost in one of the two ways.
fn shuffled(case: &Case, dice: &mut Dice) -> Vec<(Fact, Loss)> {
    let mut facts = facts::all(&case.files);
    for at in (1..facts.len()).rev() {
        facts.swap(at, dice.below(at + 1));
    }
    let lost = facts.into_iter().map(|fact| {
        let is_deleted = dice.below(2) == 0 && !fact.is_thing();
        let loss = if is_deleted {
            Loss::Deleted
        } else {
            Loss::Unreadable
        };
        (fact, loss)
    });
    lost.collect()
}

#[test]
fn where_more_is_missing_no_less_is_asked() {
    let outcome = Outcome::default();
    let sites = cases();
    let times = if asked().is_some() { 8 } else { FURTHER };
    let compared = sites.par_iter().enumerate().map(|(number, case)| {
        let mut dice = Dice::new(number as u64 + 0x60);
        let mut compared = 0;
        for size in SETS.repeat(times) {
            let mut lost = shuffled(case, &mut dice);
            lost.truncate(size + 1);
            let lost: Vec<(&Fact, Loss)> = lost.iter().map(|(fact, loss)| (fact, *loss)).collect();
            let first = &lost[..lost.len().saturating_sub(1)];
            let Some(before) = facts::without(&case.files, first) else {
                continue;
            };
            compared += usize::from(outcome.compare(case, &judged(&before), &lost));
        }
        compared
    });
    let compared: usize = compared.sum();
    assert!(compared > sites.len(), "{compared} of {}", sites.len());
    let report = outcome.report();
    assert!(
        report.is_empty(),
        "{} groups\n{report}",
        report.lines().count()
    );
}

#[test]
fn nothing_that_is_missing_silences_a_rule() {
    let outcome = Outcome::default();
    let cases = cases();
    let compared = cases.par_iter().enumerate().map(|(number, case)| {
        let each = tried(case, number);
        let compared = each
            .par_iter()
            .filter(|(fact, loss)| outcome.compare(case, &case.before, &[(fact, *loss)]));
        compared.count()
    });
    let compared: usize = compared.sum();
    assert!(compared > cases.len(), "{compared} of {}", cases.len());
    let idle = outcome.used.idle();
    let free = outcome.free.lock().unwrap().clone();
    let free: Vec<(String, String)> = free.into_iter().filter(|(key, _)| !is_free(key)).collect();
    let report = outcome.report();
    let groups = report.lines().count();
    assert!(
        report.is_empty() && idle.is_empty() && free.is_empty(),
        "{groups} groups\n{report}\nthese lines except nothing: {idle:#?}\nand these keys take any text: {free:#?}"
    );
    assert!(EXCEPTIONS.iter().all(|line| !line.reason.is_empty()));
}
