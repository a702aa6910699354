//! Bounds hold: with the power factors of a site left out, what is found is found whatever they are, and what
//! is passed in silence stays sound whatever they are.

use std::collections::BTreeSet;

use cordwright::finding::{Finding, Verdict};
use cordwright::judgement::Judgement;
use cordwright::rules::Subject;
use rayon::prelude::*;

use crate::dice::Dice;
use crate::missing::facts::{self, Loss};
use crate::missing::generated;
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

#[test]
fn what_is_said_without_power_factors_holds_for_all_of_them() {
    let mut sites = example_sites();
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
        let (found, asked) = (faults(&bare), asking(&bare));
        let mut dice = Dice::new(number as u64 + 0xb0);
        for _ in 0..DRAWS {
            let filled = judged(&drawn(files, &mut dice));
            if is_no_case(&filled) {
                continue;
            }
            let now = faults(&filled);
            for fault in &found {
                // A graver fault of the same things may be told in its stead.
                let stands = now.iter().any(|other| other.1 == fault.1);
                assert!(
                    stands,
                    "site {number}: {fault:?} is found without its facts only"
                );
            }
            for fault in now.difference(&found) {
                assert!(
                    asked.contains(fault.0),
                    "site {number}: {fault:?} was passed in silence"
                );
            }
        }
        1
    });
    let compared: usize = compared.sum();
    assert!(compared > 100, "{compared}");
}
