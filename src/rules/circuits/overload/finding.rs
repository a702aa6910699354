//! The finding that a current has crossed a limit.

use crate::analysis::Analysis;
use crate::analysis::{Limit, Limits, Step};
use crate::citation::Citation;
use crate::finding::{Finding, Measure};
use crate::quantity::{Current, show_pair};
use crate::rules::circuits::contribution;
use crate::rules::circuits::moved::moved;
use crate::rules::circuits::way::{self, Carried, on_pole};
use crate::rules::{Draft, Rule};

use super::effort::Effort;
use super::places::places;
use super::relief;
use super::words::headline;

/// A current that has crossed a limit.
pub fn overloaded(
    rule: &Rule,
    analysis: &Analysis<'_>,
    carried: &Carried,
    (limits, limit): (&Limits, &Limit),
    effort: &Effort,
) -> Finding {
    let (shown, most) = show_pair(carried.current, limit.current);
    let pole = on_pole(analysis, carried.id, carried.pole);
    let headline = headline(analysis, carried, limit, &shown, &most);
    let (mut working, sum) = contribution::lines(analysis, carried.id, carried.pole, carried.lost);
    working.extend(contribution::drop(sum, carried.current));
    working.extend(moved(analysis, carried));
    working.extend(way::all_poles(analysis, carried.id).filter(|_| carried.lost.is_none()));
    working.extend(limit.working());
    let basis = limit.basis.iter().cloned();
    let first = limit
        .basis
        .first()
        .cloned()
        .unwrap_or_else(|| Citation::marked("as marked"));
    let at = places(
        analysis,
        carried.id,
        limit,
        format!("carries {shown}{pole}"),
    );
    // What is taken off must bring it below every line, not only below the one that it crossed.
    let lowest = limits.lowest().map_or(limit.current, |low| low.current);
    Draft::new(rule, headline, at.main.span, at.main.note, first)
        .also(basis)
        .level(limit.level())
        .above(way::above(analysis, carried))
        .above(at.ahead)
        .below(at.behind)
        .below(way::below(analysis, carried))
        .working(working)
        .advice(relief::advice(analysis, carried, lowest, effort))
        .measured(Measure::above(worst(analysis, carried), limit.current))
        .about([analysis.full_name(carried.id)])
        .kind(kind(limit.step))
        .finish()
}

/// What it carries at worst: where the normal state is over the limit already, a loss may make it grow
/// without any other finding.
fn worst(analysis: &Analysis<'_>, carried: &Carried) -> Current {
    let worst = analysis.flows.worst(analysis.graph, carried.id);
    worst.map_or(carried.current, |worst| worst.current.max(carried.current))
}

fn kind(step: Step) -> &'static str {
    match step {
        Step::House => "house-limit",
        Step::Code => "continuous",
        Step::Rating => "rating",
    }
}
