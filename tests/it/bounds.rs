//! Bounds hold: with the power factors of a site left out, what is found is found whatever they are, and what
//! is passed in silence stays sound whatever they are. The same of all values that cannot be read.

use std::collections::{BTreeMap, BTreeSet};

use cordwright::finding::{Finding, Verdict};
use cordwright::judgement::Judgement;
use cordwright::rules::Subject;
use rayon::prelude::*;

use crate::dice::Dice;
use crate::missing::exceptions::is_free;
use crate::missing::facts::{self, Fact, Loss};
use crate::missing::generated;
use crate::missing::kept::Missed;
use crate::pages::example_sites;
use crate::site::{Files, judged};

/// Times that unknowns are drawn anew for each site.
const DRAWS: u64 = 3;

/// A fault by its rule and the things it is about; what is only worth a note is left out, and so is what
/// speaks of the power factor or the nameplate itself.
type Fault = (&'static str, Vec<String>);

fn faults(judgement: &Judgement) -> BTreeSet<Fault> {
    let is_meant = |f: &&Finding| {
        let rule = cordwright::rules::find(f.rule).expect("a rule");
        let is_of_records = rule.subject == Subject::Records || f.rule == "nameplate-above-inlets";
        f.verdict == Verdict::Broken && !is_of_records
    };
    let broken = judgement.findings.iter().filter(is_meant);
    let name = |f: &Finding| (f.rule, f.about.iter().map(ToString::to_string).collect());
    broken.map(name).collect()
}

fn asking(judgement: &Judgement) -> BTreeSet<&'static str> {
    let open = judgement.findings.iter();
    let open = open.filter(|finding| finding.verdict == Verdict::Open);
    open.map(|finding| finding.rule).collect()
}

/// The same site with every power factor drawn anew: at either end, or between.
fn drawn(files: &Files, dice: &mut Dice) -> Files {
    let written = regex::Regex::new(r"power-factor: *[0-9.]+").unwrap();
    let files = files.iter().map(|(path, text)| {
        let text = written.replace_all(text, |_: &regex::Captures<'_>| {
            let factor = [0.5, 0.6, 0.75, 0.9, 0.98, 1.0][dice.below(6)];
            format!("power-factor: {factor}")
        });
        (path.clone(), text.into_owned())
    });
    files.collect()
}

/// Where a power factor makes a nameplate contradict its inlets, or a voltage that no load can live at, what
/// is said of that stands for all else.
fn is_no_case(judgement: &Judgement) -> bool {
    let mut findings = judgement.findings.iter();
    findings.any(|f| f.rule == "nameplate-above-inlets" || f.kind == "collapse")
}

/// What is said while facts are missing and does not go together with what is said once they are there, as
/// whole words; `is_asked`: whether some rule asks for those very facts.
fn contradictions(without: &Judgement, is_asked: bool, filled: &Judgement) -> Vec<String> {
    let (found, now) = (faults(without), faults(filled));
    let asked = asking(without);
    // A graver fault of the same things may be told in its stead.
    let gone = found
        .iter()
        .filter(|fault| now.iter().all(|other| !is_in_its_stead(fault, other)));
    let gone = gone.map(|fault| format!("{fault:?} {MORE}"));
    let new = now.difference(&found);
    let new = new.filter(|fault| !is_asked && !asked.contains(fault.0));
    let new = new.map(|fault| format!("{fault:?} was passed in silence"));
    gone.chain(new).collect()
}

/// Whether one fault is told where the other would be: it is about the same things, or the same rule now has a worse
/// place to tell of behind the same breaker.
fn is_in_its_stead(gone: &Fault, other: &Fault) -> bool {
    gone.1 == other.1 || (gone.0 == other.0 && gone.1.first() == other.1.first())
}

/// What is said of a fault that there is only while facts are missing.
const MORE: &str = "is found without them only";

#[test]
fn what_is_said_without_power_factors_holds_for_all_of_them() {
    let mut sites = example_sites();
    let examples = sites.len();
    sites.extend(generated().into_iter().map(|case| case.files));
    let compared = sites.par_iter().enumerate().map(|(number, files)| {
        let facts = facts::all(files);
        let factors = facts
            .iter()
            .filter(|fact| fact.key() == "device-models.power-factor");
        let lost: Vec<_> = factors.map(|fact| (fact, Loss::Deleted)).collect();
        let Some(bare) = facts::without(files, &lost).filter(|_| !lost.is_empty()) else {
            return 0;
        };
        let bare = judged(&bare);
        let mut dice = Dice::new(draw(number, examples) + 0xb0);
        for _ in 0..DRAWS {
            let filled = judged(&drawn(files, &mut dice));
            if is_no_case(&filled) {
                continue;
            }
            let wrong = contradictions(&bare, false, &filled);
            assert!(wrong.is_empty(), "site {number}: {wrong:#?}");
        }
        1
    });
    let compared: usize = compared.sum();
    assert!(compared > 100, "{compared}");
}

/// What the draws of a site begin with: an example more on a page moves none of those of generated sites.
fn draw(number: usize, examples: usize) -> u64 {
    const FIRST_GENERATED: usize = 319;
    let generated = number.checked_sub(examples);
    generated.map_or(number, |own| FIRST_GENERATED + own) as u64
}

/// The words that stand anywhere under each key: what may stand there.
type Palettes = BTreeMap<String, Vec<String>>;

fn palettes(sites: &[Files]) -> Palettes {
    let mut palettes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for files in sites {
        for fact in facts::all(files) {
            if let Some(word) = fact.word(files) {
                let palette = palettes.entry(fact.key()).or_default();
                palette.insert(word.to_owned());
            }
        }
    }
    let each = palettes.into_iter();
    each.map(|(key, words)| (key, words.into_iter().collect()))
        .collect()
}

/// A word that may stand there: one that stands under such a key somewhere, or the number that stands
/// there made another.
fn another(word: &str, palette: &[String], dice: &mut Dice) -> String {
    let unit = word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    let number = word[..word.len() - unit.len()].parse::<f64>();
    match number {
        Ok(number) if dice.below(2) == 0 => {
            let times = [0.1, 0.5, 0.9, 1.1, 2.0, 10.0][dice.below(6)];
            format!("{:.3}{unit}", number * times)
        }
        _ => palette[dice.below(palette.len())].clone(),
    }
}

/// Whether the texts of a site are as sound by themselves as they were.
fn reads_as_well(judgement: &Judgement, as_was: &Judgement) -> bool {
    let of_records = |judgement: &Judgement| {
        let findings = judgement.findings.iter();
        let rules = findings.filter(|f| {
            let rule = cordwright::rules::find(f.rule).expect("a rule");
            rule.subject == Subject::Records && f.verdict == Verdict::Broken
        });
        rules.count()
    };
    of_records(judgement) <= of_records(as_was)
}

/// A key for which, where it cannot be read, the safest value of all practices stands in, and the arithmetic says
/// so: more is found then than with a better value.
const SAFE_SIDE: &str = "site.supply-tolerance";

/// A key for which, where it cannot be read, conductors are taken to be as hot as any: a trifle more is found then,
/// and nothing less.
const AS_HOT_AS_ANY: &str = "circuits.wiring.insulation";

/// At most so many values cannot be read together.
const TOGETHER: usize = 3;

/// Some values of a site that cannot be read, and what is said then.
struct Unread<'a> {
    facts: Vec<&'a Fact>,
    said: Judgement,
    is_asked: bool,
}

impl<'a> Unread<'a> {
    fn is_on_the_safe_side(&self) -> bool {
        let mut keys = self.facts.iter().map(|fact| fact.key());
        keys.any(|key| key == AS_HOT_AS_ANY)
    }

    fn draw(files: &Files, all: &'a [Fact], dice: &mut Dice) -> Option<Self> {
        let places: BTreeSet<usize> = (0..=dice.below(TOGETHER))
            .map(|_| dice.below(all.len()))
            .collect();
        let facts: Vec<&Fact> = places.into_iter().map(|at| &all[at]).collect();
        let lost: Vec<_> = facts.iter().map(|fact| (*fact, Loss::Unreadable)).collect();
        let bare = facts::without(files, &lost)?;
        let said = judged(&bare);
        let missed = lost.iter().map(|lost| Missed::of(&bare, *lost));
        let missed = missed.collect::<Option<Vec<_>>>()?;
        // What can be any text is read as it stands.
        if !missed.iter().all(|missed| missed.is_told_unreadable(&said)) {
            return None;
        }
        let is_asked = missed.iter().any(|missed| missed.is_asked(&said));
        Some(Self {
            facts,
            said,
            is_asked,
        })
    }
}

#[test]
fn what_is_said_where_values_cannot_be_read_holds_for_all_values() {
    let mut sites = example_sites();
    let examples = sites.len();
    sites.extend(generated().into_iter().map(|case| case.files));
    let palettes = palettes(&sites);
    let compared = sites.par_iter().enumerate().map(|(number, files)| {
        let mut dice = Dice::new(draw(number, examples) + 0xb1);
        let as_is = judged(files);
        let mut all = facts::all(files);
        // A feed that nobody has is told as a name that is nowhere.
        let is_meant = |key: &str| !is_free(key) && key != SAFE_SIDE && !key.ends_with(".feed");
        all.retain(|fact| fact.word(files).is_some() && is_meant(&fact.key()));
        if all.is_empty() {
            return (0, Vec::new());
        }
        let (mut compared, mut wrong) = (0, Vec::new());
        for _ in 0..DRAWS {
            let Some(unread) = Unread::draw(files, &all, &mut dice) else {
                continue;
            };
            let words = unread.facts.iter().map(|fact| {
                let word = fact.word(files).expect("a word");
                another(word, &palettes[&fact.key()], &mut dice)
            });
            let words: Vec<String> = words.collect();
            let read = unread.facts.iter().copied();
            let read: Vec<_> = read.zip(words.iter().map(String::as_str)).collect();
            let Some(filled) = facts::with(files, &read) else {
                continue;
            };
            let filled = judged(&filled);
            if !reads_as_well(&filled, &as_is) || is_no_case(&filled) {
                continue;
            }
            compared += 1;
            let read = read
                .iter()
                .map(|(fact, word)| format!("{}: {word}", fact.path.join(" ")));
            let read: Vec<String> = read.collect();
            let mut told = contradictions(&unread.said, unread.is_asked, &filled);
            if unread.is_on_the_safe_side() {
                told.retain(|told| !told.ends_with(MORE));
            }
            let told = told.into_iter();
            wrong.extend(told.map(|told| format!("site {number}, {}: {told}", read.join(", "))));
        }
        (compared, wrong)
    });
    let (compared, wrong): (Vec<usize>, Vec<Vec<String>>) = compared.unzip();
    let (compared, wrong) = (compared.iter().sum::<usize>(), wrong.concat());
    assert!(
        wrong.is_empty(),
        "{} of {compared}: {wrong:#?}",
        wrong.len()
    );
    // Many a draw leaves a text that says less than it did, and cannot be compared.
    assert!(compared * 2 > sites.len(), "{compared} of {}", sites.len());
}
