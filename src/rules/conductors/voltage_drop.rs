//! `voltage-drop`: does enough voltage arrive?

mod lost;
mod words;

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind};
use crate::model::optional::Optional;
use crate::model::site::DropLimits;
use crate::model::value::Spanned;
use crate::rules::rule;

use super::gaps::Gaps;

use lost::{of_cord, of_way};
use words::{collapse, miss_conductors, miss_figures, own_limit, too_low, unread_limit};

rule!(
    "voltage-drop",
    Conductors,
    Warning up to Error,
    "Too little voltage at the far end: equipment drops out or draws more current than its cord was chosen for."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let limits = known(&analysis.model.site.voltage_drop).map(|limits| &limits.value);
    let mut gaps = Gaps::of(&RULE);
    // Where the voltage has gone no figure means anything.
    let mut gone = 0..0;
    for (id, _) in analysis.graph.elements() {
        if let Some(lost) = analysis.flows.collapses(id) {
            findings.push(collapse(analysis, id, lost));
            gone = analysis.graph.below(id);
        }
        if gone.contains(&id.0) {
            continue;
        }
        if let Some(limits) = limits {
            judge(analysis, limits, id, &mut gaps, findings);
        }
    }
    findings.extend(gaps.findings());
    findings.extend(illegible(analysis).map(unread_limit));
}

/// What is written; what cannot be read is asked for by itself.
fn known<T>(limit: &Optional<T>) -> Option<&Spanned<T>> {
    limit.written().ok().flatten()
}

/// The limits of the site that cannot be read, if anything is there to be held against them.
fn illegible(analysis: &Analysis<'_>) -> impl Iterator<Item = Fact> {
    let whole = analysis.model.site.voltage_drop.written();
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
    let is_used = !analysis.model.circuits.is_empty();
    unread.chain(all).filter(move |_| is_used)
}

fn judge(
    analysis: &Analysis<'_>,
    limits: &DropLimits,
    id: ElementId,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) {
    let is_end = analysis.device_fed_by(id).is_some();
    let is_circuit = matches!(analysis.graph.kind(id), ElementKind::Circuit(_));
    let along_circuit = known(&limits.circuit).filter(|_| is_circuit);
    let along_cord = known(&limits.cord).filter(|_| is_end);
    let along_all = known(&limits.total).filter(|_| is_end);
    if along_circuit.is_some() || along_all.is_some() {
        if let Some(at) = analysis.flows.fault_loops.undescribed(id) {
            miss_conductors(analysis, at, gaps);
        }
        miss_figures(analysis, id, gaps);
    }
    let lost = [
        along_circuit.and_then(|limit| of_way(analysis, id, "circuit", limit)),
        along_cord.and_then(|limit| of_cord(analysis, id, limit)),
        along_all.and_then(|limit| of_way(analysis, id, "total", limit)),
    ];
    let before = findings.len();
    findings.extend(
        lost.iter()
            .flatten()
            .map(|lost| too_low(analysis, id, lost)),
    );
    let is_over = findings.len() > before;
    let asked = along_circuit.or(along_cord).or(along_all);
    if let Some(limit) = asked.filter(|_| !is_over)
        && let Some(device) = analysis.flows.unknown_below(id)
    {
        let what = "does enough voltage arrive at";
        gaps.miss_load(analysis, device, what, own_limit(limit));
    }
}
