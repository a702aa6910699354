//! One answer of a site that is judged as it hangs and as it is planned.

use std::collections::BTreeMap;

use crate::finding::{Finding, Identity, Move};
use crate::model::stage::Stage;
use crate::rules::Outcome;
use crate::rules::records::{departure_idle, idle_definition, pattern_idle, snag_idle};

/// Rules that say that something is of no use: it is only where that holds at both stages.
const OF_NO_USE: [&str; 4] = [
    idle_definition::RULE.name,
    pattern_idle::RULE.name,
    departure_idle::RULE.name,
    snag_idle::RULE.name,
];

/// What the rules say of both stages, each fault once: at its worst, and told of the one stage that has it
/// where the other has not.
pub(super) fn together(planned: Outcome, fitted: Outcome) -> Outcome {
    let mut crashed = planned.crashed;
    crashed.extend(fitted.crashed);
    crashed.sort();
    crashed.dedup();
    let as_planned = by_identity(&planned.findings);
    let as_fitted = by_identity(&fitted.findings);
    let only_fitted = fitted.findings.iter();
    let only_fitted = only_fitted.filter(|finding| !as_planned.contains_key(&finding.identity()));
    let only_fitted = only_fitted.filter_map(|finding| told_of(Stage::Fitted, finding.clone()));
    let planned = planned.findings.iter();
    let planned = planned.filter_map(|finding| match as_fitted.get(&finding.identity()) {
        Some(same) => Some(at_worst(finding, same)),
        None => told_of(Stage::Planned, finding.clone()),
    });
    let mut findings: Vec<Finding> = planned.chain(only_fitted).collect();
    findings.sort_by(Finding::order);
    findings.dedup();
    Outcome { findings, crashed }
}

fn by_identity(findings: &[Finding]) -> BTreeMap<Identity<'_>, &Finding> {
    let each = findings.iter().map(|finding| (finding.identity(), finding));
    each.collect()
}

/// A fault that both stages have: as the worse of the two has it, with all who suffer it in either.
fn at_worst(planned: &Finding, fitted: &Finding) -> Finding {
    let (worst, other) = match is_worse(fitted, planned) {
        true => (fitted, planned),
        false => (planned, fitted),
    };
    let mut worst = worst.clone();
    worst.sufferers.extend(other.sufferers.iter().cloned());
    worst.sufferers.sort();
    worst.sufferers.dedup();
    worst.suffers_at.extend(&other.suffers_at);
    worst.suffers_at.sort();
    worst.suffers_at.dedup();
    worst
}

fn is_worse(one: &Finding, other: &Finding) -> bool {
    match (&one.measure, &other.measure) {
        (Some(one), Some(other)) => one.moved_since(other) == Move::Worse,
        _ => false,
    }
}

/// The finding as one of a stage alone; nothing of what is only to be said of both.
fn told_of(stage: Stage, mut finding: Finding) -> Option<Finding> {
    if OF_NO_USE.contains(&finding.rule) {
        return None;
    }
    finding.headline = format!("{} ({})", finding.headline, stage.words());
    finding.stage = Some(stage);
    Some(finding)
}
