//! `voltage-drop`: does enough voltage arrive?

mod lost;
mod words;

use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind};
use crate::model::optional::Optional;
use crate::model::site::DropLimits;
use crate::model::value::Spanned;
use crate::rules::rule;
use crate::survey::Survey;

use super::gaps::Gaps;

use lost::{of_cord, of_way};
use words::{collapse, miss_conductors, own_limit, too_low, unread_limit};

rule!(
    "voltage-drop",
    Conductors,
    Warning up to Error,
    "Too little voltage at the far end: equipment drops out or draws more current than its cord was chosen for."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let limits = known(&survey.model.site.voltage_drop).map(|limits| &limits.value);
    let mut gaps = Gaps::of(&RULE);
    // Where the voltage has gone no figure means anything.
    let mut gone = 0..0;
    for (id, _) in survey.graph.elements() {
        if let Some(lost) = survey.flows.collapses(id) {
            findings.push(collapse(survey, id, lost));
            gone = survey.graph.below(id);
        }
        if gone.contains(&id.0) {
            continue;
        }
        if let Some(limits) = limits {
            judge(survey, limits, id, &mut gaps, findings);
        }
    }
    findings.extend(gaps.findings());
    findings.extend(illegible(survey).map(unread_limit));
}

/// What is written; what cannot be read is asked for by itself.
fn known<T>(limit: &Optional<T>) -> Option<&Spanned<T>> {
    limit.written().ok().flatten()
}

/// The limits of the site that cannot be read, if anything is there to be held against them.
fn illegible(survey: &Survey<'_>) -> impl Iterator<Item = Fact> {
    let whole = survey.model.site.voltage_drop.written();
    let all = whole
        .err()
        .map(|at| Fact::unreadable_of_site("voltage-drop", at));
    let limits = whole.ok().flatten().map(|limits| {
        [
            ("voltage-drop.circuit", &limits.value.circuit),
            ("voltage-drop.cord", &limits.value.cord),
            ("voltage-drop.total", &limits.value.total),
        ]
    });
    let unread = limits
        .into_iter()
        .flatten()
        .filter_map(|(key, limit)| Some(Fact::unreadable_of_site(key, limit.written().err()?)));
    let is_used = !survey.model.circuits.is_empty();
    unread.chain(all).filter(move |_| is_used)
}

fn judge(
    survey: &Survey<'_>,
    limits: &DropLimits,
    id: ElementId,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) {
    let is_end = survey.device_fed_by(id).is_some();
    let is_circuit = matches!(survey.graph.kind(id), ElementKind::Circuit(_));
    let along_circuit = known(&limits.circuit).filter(|_| is_circuit);
    let along_cord = known(&limits.cord).filter(|_| is_end);
    let along_all = known(&limits.total).filter(|_| is_end);
    if (along_circuit.is_some() || along_all.is_some())
        && let Err(at) = survey.flows.ways.hot(id)
    {
        miss_conductors(survey, at, gaps);
    }
    let lost = [
        along_circuit.and_then(|limit| of_way(survey, id, "circuit", limit)),
        along_cord.and_then(|limit| of_cord(survey, id, limit)),
        along_all.and_then(|limit| of_way(survey, id, "total", limit)),
    ];
    let before = findings.len();
    findings.extend(lost.iter().flatten().map(|lost| too_low(survey, id, lost)));
    let is_over = findings.len() > before;
    let asked = along_circuit.or(along_cord).or(along_all);
    if let Some(limit) = asked.filter(|_| !is_over)
        && let Some(device) = survey.flows.unknown_below(id)
    {
        let what = "does enough voltage arrive at";
        gaps.miss_load(survey, device, what, own_limit(limit));
    }
}
