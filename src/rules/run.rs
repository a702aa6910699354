//! Running the rules: in parallel, each guarded, with the levels that the site has set.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rayon::prelude::*;

use crate::finding::{Finding, Verdict};
use crate::survey::Survey;

use super::{Check, RULES, Rule, Said, Standing};

/// What the rules said.
#[derive(Debug, Default)]
pub struct Outcome {
    /// All findings, in their one order.
    pub findings: Vec<Finding>,
    /// Names of rules that broke down; the others were still run.
    pub crashed: Vec<String>,
}

/// Runs every rule that `wanted` accepts and that the site has not switched off: first those that
/// look at the site, then those that look at what was said.
pub fn run(survey: &Survey<'_>, wanted: impl Fn(&Rule) -> bool + Sync) -> Outcome {
    // Where this breaks down, so do the rules that ask for it, each by itself.
    let _ = catch_unwind(AssertUnwindSafe(|| survey.prepare()));
    let mut outcome = Outcome::default();
    let mut ran = Vec::new();
    let nothing = Said {
        findings: &[],
        ran: &[],
    };
    let wanted = |rule: &Rule| wanted(rule) && !Standing::of(survey.model, rule).is_switched_off();
    outcome.take(
        check_all(survey, &nothing, |rule| {
            wanted(rule) && matches!(rule.check, Check::Site(_))
        }),
        &mut ran,
    );
    let findings = std::mem::take(&mut outcome.findings);
    let said = Said {
        findings: &findings,
        ran: &ran,
    };
    let last = check_all(survey, &said, |rule| {
        wanted(rule) && matches!(rule.check, Check::Said(_))
    });
    outcome.findings = findings;
    outcome.take(last, &mut Vec::new());
    outcome.findings.par_sort_unstable_by(Finding::order);
    outcome.findings.dedup();
    outcome
}

/// The name of a rule and what it found; nothing if it broke down.
type Checked = (&'static str, Option<Vec<Finding>>);

impl Outcome {
    fn take(&mut self, results: Vec<Checked>, ran: &mut Vec<&'static str>) {
        for (name, findings) in results {
            match findings {
                Some(findings) => {
                    self.findings.extend(findings);
                    ran.push(name);
                }
                None => self.crashed.push(name.to_owned()),
            }
        }
    }
}

fn check_all(
    survey: &Survey<'_>,
    said: &Said<'_>,
    wanted: impl Fn(&Rule) -> bool + Sync,
) -> Vec<Checked> {
    RULES
        .par_iter()
        .filter(|rule| wanted(rule))
        .map(|rule| (rule.name, check(survey, said, rule)))
        .collect()
}

fn check(survey: &Survey<'_>, said: &Said<'_>, rule: &Rule) -> Option<Vec<Finding>> {
    let checked = catch_unwind(AssertUnwindSafe(|| {
        let mut findings = Vec::new();
        match rule.check {
            Check::Site(check) => check(survey, &mut findings),
            Check::Said(check) => check(survey, said, &mut findings),
        }
        findings
    }));
    let mut findings = checked.ok()?;
    if let Some(level) = Standing::of(survey.model, rule).set() {
        let broken = findings
            .iter_mut()
            .filter(|finding| finding.verdict == Verdict::Broken);
        broken.for_each(|finding| finding.level = level);
    }
    Some(findings)
}
