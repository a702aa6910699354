//! Running the rules: in parallel, each guarded, with the levels that the site has set.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rayon::prelude::*;

use crate::finding::{Finding, Level, Verdict};
use crate::model::Model;
use crate::model::site::LevelWord;
use crate::survey::Survey;

use super::{RULES, Rule};

/// What the rules said.
#[derive(Debug, Default)]
pub struct Outcome {
    /// All findings, in their one order.
    pub findings: Vec<Finding>,
    /// Names of rules that broke down; the others were still run.
    pub crashed: Vec<String>,
}

/// Runs every rule that `wanted` accepts and that the site has not switched off.
pub fn run(survey: &Survey<'_>, wanted: impl Fn(&Rule) -> bool + Sync) -> Outcome {
    let results: Vec<Result<Vec<Finding>, &str>> = RULES
        .par_iter()
        .filter(|rule| wanted(rule) && !is_off(survey.model, rule))
        .map(|rule| check(survey, rule))
        .collect();
    let mut outcome = Outcome::default();
    for result in results {
        match result {
            Ok(findings) => outcome.findings.extend(findings),
            Err(name) => outcome.crashed.push(name.to_owned()),
        }
    }
    outcome.findings.par_sort_unstable_by(Finding::order);
    outcome.findings.dedup();
    outcome
}

fn check<'r>(survey: &Survey<'_>, rule: &'r Rule) -> Result<Vec<Finding>, &'r str> {
    let checked = catch_unwind(AssertUnwindSafe(|| {
        let mut findings = Vec::new();
        (rule.check)(survey, &mut findings);
        findings
    }));
    let mut findings = checked.map_err(|_| rule.name)?;
    if let Some(level) = set_level(survey.model, rule) {
        let broken = findings
            .iter_mut()
            .filter(|finding| finding.verdict == Verdict::Broken);
        broken.for_each(|finding| finding.level = level);
    }
    Ok(findings)
}

/// The level word that the site gives a rule. A rule is switched off only with a reason; without
/// one the rule keeps running, and a finding of the records says so.
fn site_level(model: &Model, rule: &Rule) -> Option<LevelWord> {
    let names = std::iter::once(&rule.name).chain(rule.former_names);
    let set = names
        .filter_map(|name| model.site.levels.find(name))
        .map(|id| &model.site.levels[id]);
    set.filter(|set| set.level.get() != Some(&LevelWord::Off) || set.reason.get().is_some())
        .find_map(|set| set.level.copied())
}

fn is_off(model: &Model, rule: &Rule) -> bool {
    site_level(model, rule) == Some(LevelWord::Off)
}

fn set_level(model: &Model, rule: &Rule) -> Option<Level> {
    match site_level(model, rule)? {
        LevelWord::Error => Some(Level::Error),
        LevelWord::Warning => Some(Level::Warning),
        LevelWord::Note => Some(Level::Note),
        LevelWord::Off => None,
    }
}
