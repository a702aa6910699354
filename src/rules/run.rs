//! Running the rules: in parallel, each guarded, with the levels that the site has set.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rayon::prelude::*;

use crate::analysis::Analysis;
use crate::finding::{Finding, Level, Verdict};
use crate::policy::Policy;
use crate::tables::Practice;

use super::{
    Changed, Check, RULES, Rule, Said, Standing, again, half_typed, staying_up, suffering, turned,
};

/// What the rules said.
#[derive(Debug, Default)]
pub struct Outcome {
    /// All findings, in their one order.
    pub findings: Vec<Finding>,
    /// Names of rules that broke down; the others were still run.
    pub crashed: Vec<String>,
}

/// Runs every rule that `wanted` accepts and that not every policy has switched off: first those that
/// look at the site, then those that look at what was said. Of several policies the stricter counts.
pub fn run(
    analysis: &Analysis<'_>,
    policies: &[Policy<'_>],
    wanted: impl Fn(&Rule) -> bool + Sync,
) -> Outcome {
    let mut outcome = Outcome::default();
    let mut ran = Vec::new();
    let nothing = Said {
        findings: &[],
        ran: &[],
    };
    let levels = Levels {
        policies,
        practice: analysis.practice(),
    };
    let wanted = |rule: &Rule| wanted(rule) && !levels.switch_off(rule);
    let first = check_all(analysis, &nothing, &levels, |rule| {
        wanted(rule) && matches!(rule.check, Check::Site(_))
    });
    outcome.take(first, &mut ran);
    outcome.add_if_otherwise(analysis, &levels, wanted);
    let findings = std::mem::take(&mut outcome.findings);
    let said = Said {
        findings: &findings,
        ran: &ran,
    };
    let last = check_all(analysis, &said, &levels, |rule| {
        wanted(rule) && matches!(rule.check, Check::Said(_))
    });
    outcome.findings = findings;
    outcome.take(last, &mut Vec::new());
    let mut outcome = outcome.sorted();
    half_typed::settle(&analysis.model.half_typed, &mut outcome.findings);
    suffering::place(analysis.model, &mut outcome.findings);
    outcome
}

/// Runs every rule that looks at what a change made of the site. No level of a site counts here: a
/// change would switch off what tells it.
pub fn run_on_change(
    analysis: &Analysis<'_>,
    changed: &Changed<'_>,
    wanted: impl Fn(&Rule) -> bool,
) -> Outcome {
    let mut outcome = Outcome::default();
    for rule in RULES.iter().filter(|rule| wanted(rule)) {
        let Check::Changed(check) = rule.check else {
            continue;
        };
        let checked = guarded(|findings| check(analysis, changed, findings));
        outcome.take(vec![(rule.name, checked)], &mut Vec::new());
    }
    let mut outcome = outcome.sorted();
    suffering::place(analysis.model, &mut outcome.findings);
    outcome
}

/// The levels that policies give to rules.
struct Levels<'a> {
    policies: &'a [Policy<'a>],
    practice: Option<Practice>,
}

impl<'a> Levels<'a> {
    fn of(&self, rule: &Rule) -> impl Iterator<Item = Standing<'a>> {
        let policies = self.policies.iter();
        policies.map(move |policy| Standing::of(policy, self.practice, rule))
    }

    fn switch_off(&self, rule: &Rule) -> bool {
        self.of(rule).all(|standing| standing.is_switched_off())
    }

    /// The gravest level that any of them gives to a finding of this level.
    fn gravest(&self, rule: &Rule, own: Level) -> Level {
        let on = self.of(rule).filter(|standing| !standing.is_switched_off());
        let given = on.map(|standing| standing.set().unwrap_or(own));
        given.max().unwrap_or(own)
    }
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

    /// Adds what only is found where the site is judged once more: as if no device stopped that is recorded to,
    /// and with its transfer switches on their other inlets.
    fn add_if_otherwise(
        &mut self,
        analysis: &Analysis<'_>,
        levels: &Levels<'_>,
        wanted: impl Fn(&Rule) -> bool + Sync,
    ) {
        let nothing = Said {
            findings: &[],
            ran: &[],
        };
        let is_meant = |rule: &Rule| {
            let is_of_power = again::SUBJECTS.contains(&rule.subject);
            wanted(rule) && is_of_power && matches!(rule.check, Check::Site(_))
        };
        let mut again = Self::default();
        let mut judge = |otherwise: &Analysis<'_>| {
            let checked = check_all(otherwise, &nothing, levels, is_meant);
            again.take(checked, &mut Vec::new());
            std::mem::take(&mut again.findings)
        };
        let going_on = staying_up::findings(analysis, &self.findings, &mut judge);
        self.findings.extend(going_on);
        let turned = turned::findings(analysis, &self.findings, &mut judge);
        self.findings.extend(turned);
        self.crashed.extend(again.crashed);
    }

    fn sorted(mut self) -> Self {
        self.findings.par_sort_unstable_by(Finding::order);
        self.findings.dedup();
        self
    }
}

fn check_all(
    analysis: &Analysis<'_>,
    said: &Said<'_>,
    levels: &Levels<'_>,
    wanted: impl Fn(&Rule) -> bool + Sync,
) -> Vec<Checked> {
    let wanted = RULES.par_iter().filter(|rule| wanted(rule));
    wanted
        .map(|rule| (rule.name, check(analysis, said, levels, rule)))
        .collect()
}

fn check(
    analysis: &Analysis<'_>,
    said: &Said<'_>,
    levels: &Levels<'_>,
    rule: &Rule,
) -> Option<Vec<Finding>> {
    let mut findings = guarded(|findings| match rule.check {
        Check::Site(check) => check(analysis, findings),
        Check::Said(check) => check(analysis, said, findings),
        Check::Changed(_) => {}
    })?;
    for finding in &mut findings {
        if finding.verdict == Verdict::Broken {
            finding.level = levels.gravest(rule, finding.level);
        }
    }
    Some(findings)
}

/// What a rule finds; `None` if it breaks down.
fn guarded(check: impl FnOnce(&mut Vec<Finding>)) -> Option<Vec<Finding>> {
    let checked = catch_unwind(AssertUnwindSafe(|| {
        let mut findings = Vec::new();
        check(&mut findings);
        findings
    }));
    checked.ok()
}
