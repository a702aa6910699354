//! What is said of three lines that are loaded unequally.

use crate::analysis::Analysis;
use crate::citation::Cited;
use crate::finding::{Finding, Level, Measure};
use crate::graph::ElementId;
use crate::quantity::{Quantity, Ratio, amperes, show_pair};
use crate::rules::Draft;
use crate::rules::circuits::way::{self, Carried};

use super::RULE;
use super::limits::Limits;
use super::spread::Spread;

pub(super) fn finding(
    analysis: &Analysis<'_>,
    id: ElementId,
    limits: &Limits,
    spread: &Spread,
    (level, limit, kind): (Level, &Cited<Ratio>, &'static str),
) -> Finding {
    let (pole, current) = spread.farthest;
    let (shown, most) = show_pair(spread.imbalance(), limit.value);
    let side = if current > spread.mean {
        "above"
    } else {
        "below"
    };
    let headline = format!(
        "the lines of {} are loaded unequally: {} lies {shown} {side} the mean, more than {most}; one line reaches its limit while the others have room",
        analysis.describe(id),
        pole.word(),
    );
    let (most_loaded, least_loaded) = spread.ends();
    let carried = Carried {
        id,
        pole: most_loaded.0,
        current: amperes(most_loaded.1),
        lost: None,
    };
    let note = format!(
        "{}: {} on {}",
        analysis.describe(id),
        amperes(current).show(),
        pole.word()
    );
    let (from, to) = (most_loaded.0.word(), least_loaded.0.word());
    let half = ((most_loaded.1 - least_loaded.1) * 5.0).round() / 10.0;
    let half = amperes(half).show();
    Draft::new(
        &RULE,
        headline,
        analysis.name(id).span,
        note,
        limit.citation.clone(),
    )
    .also([limits.floor.citation.clone()])
    .level(level)
    .above(way::above(analysis, &carried))
    .below(way::below(analysis, &carried))
    .working(spread.working())
    .measured(Measure::above(spread.imbalance(), limit.value))
    .about([analysis.full_name(id)])
    .kind(kind)
    .advice(format!(
        "Move load from {from} to {to}, about {half} of it, and check both feeds of what is moved."
    ))
    .finish()
}
