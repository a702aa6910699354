//! `phase-imbalance`: do the three lines carry about the same?

mod limits;
mod spread;
mod words;

use crate::analysis::Analysis;
use crate::citation::Cited;
use crate::finding::{Finding, Level};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::quantity::{Ratio, amperes};
use crate::rules::illegible::Illegible;
use crate::rules::rule;

use super::missing::Undecided;

use limits::Limits;
use spread::Spread;
use words::finding;

rule!(
    "phase-imbalance",
    Circuits,
    Warning,
    "Three lines that carry unequal currents: one reaches its limit while the others have room, and the neutral carries the difference."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let limits = match Limits::of(analysis) {
        Ok(Some(limits)) => limits,
        Ok(None) => return,
        Err(fact) => {
            let mut illegible = Illegible::default();
            if judged(analysis).next().is_some() {
                let question =
                    || "are lines loaded so unequally that the site wants to know".to_owned();
                illegible.ask(&RULE, &fact, question);
            }
            return findings.extend(illegible.findings());
        }
    };
    let mut undecided = Undecided::new("are the lines of ", " loaded alike");
    for (id, spread) in judged(analysis) {
        if let Some(device) = analysis.flows.unknown_below(id) {
            undecided.add(device, id, None, Some(&limits.note.citation));
        } else if analysis.flows.unsummed_below(id).is_none()
            && let Some(finding) = judge(analysis, id, &limits, &spread)
            && !is_told_below(analysis, id, &spread)
        {
            findings.push(finding);
        }
    }
    findings.extend(undecided.findings(&RULE, analysis));
}

/// What carries current on several lines, and how.
fn judged(analysis: &Analysis<'_>) -> impl Iterator<Item = (ElementId, Spread)> {
    let analysis = *analysis;
    let elements = analysis.graph.elements().filter(|(_, element)| {
        matches!(
            element.kind,
            ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Pdu(_)
        )
    });
    // Of supplies that are fed from one it is not known on which lines they load it.
    let told = elements.filter(move |(id, _)| !analysis.graph.feeds_supplies(*id));
    told.filter_map(move |(id, _)| Some((id, Spread::of(&analysis, id)?)))
}

fn judge(
    analysis: &Analysis<'_>,
    id: ElementId,
    limits: &Limits,
    spread: &Spread,
) -> Option<Finding> {
    let is_small = amperes(spread.mean) < limits.floor.value || spread.mean <= 0.0;
    let is_over = |limit: &Cited<Ratio>| spread.imbalance() > limit.value * 1.000_001;
    if is_small || !is_over(&limits.note) {
        return None;
    }
    let (level, limit, kind) = if is_over(&limits.warning) {
        (Level::Warning, &limits.warning, "large")
    } else {
        (Level::Note, &limits.note, "noted")
    };
    Some(finding(analysis, id, limits, spread, (level, limit, kind)))
}

/// Whether all of it comes through one thing below, where it is told, because that is where load moves.
fn is_told_below(analysis: &Analysis<'_>, id: ElementId, spread: &Spread) -> bool {
    let below = analysis.graph.below(id).map(ElementId).skip(1);
    let mut children = below.filter(|&lower| analysis.graph.element(lower).feeder == Some(id));
    children.any(|child| {
        let same = |(own, lower): (&(Pole, f64), &(Pole, f64))| (own.1 - lower.1).abs() < 1e-6;
        Spread::of(analysis, child)
            .is_some_and(|lower| spread.lines.iter().zip(&lower.lines).all(same))
    })
}
