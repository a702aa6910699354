//! What is said of a conductor behind too large a device.

use smol_str::SmolStr;

use crate::analysis::{Analysis, Rating};
use crate::citation::Citation;
use crate::finding::{Fact, FactState, Finding, Measure};
use crate::flow::protection::{Coordination, Device};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::Spanned;
use crate::quantity::{Current, InUnits, Quantity, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::gaps::Gap;
use crate::rules::conductors::{naming, remedy};
use crate::tables::{Practice, breakers, constants};

use super::{RULE, basis};

/// What stands against each other.
pub(super) struct Case<'a> {
    pub device: Device<'a>,
    pub rating: &'a Spanned<Current>,
    pub capacity: Current,
}

pub(super) fn unprotected(
    analysis: &Analysis<'_>,
    practice: Practice,
    id: ElementId,
    case: &Case<'_>,
    why: String,
) -> Option<Finding> {
    let Some(Rating::Known {
        working,
        basis: tables,
        ..
    }) = analysis.conductor_rating(id)
    else {
        return None;
    };
    let own = basis(practice, id, analysis);
    let (capacity, rating) = show_pair(case.capacity, case.rating.value);
    let ahead = naming::device(analysis, &case.device);
    let headline = format!(
        "{} may burn on an overload: {ahead} lets more pass than the {capacity} that its conductors carry",
        naming::run(analysis, id)
    );
    let level = naming::level(&tables).min(naming::level(std::slice::from_ref(&own)));
    let note = format!("carries {capacity} here");
    let draft = Draft::new(
        &RULE,
        headline,
        naming::choice_span(analysis, id),
        note,
        own,
    );
    let advice = remedy::to_carry(analysis, id, case.rating.value);
    let draft = draft
        .level(level)
        .above([naming::device_place(analysis, &case.device)])
        .below([naming::conductor_place(analysis, id, "")])
        .working(working)
        .working([
            format!("breaker In = {rating} > conductors Iz = {capacity}"),
            why,
        ])
        .working(tripping(practice, case))
        .measured(Measure::above(case.rating.value, case.capacity))
        .also(tables)
        .advice(format!(
            "{advice}, or {} of {} or less.",
            smaller_device(analysis, id),
            largest_device(practice, case.capacity)
        ))
        .about([analysis.full_name(id)]);
    Some(draft.finish())
}

/// I2 ≤ 1.45 Iz, redone by hand.
fn tripping(practice: Practice, case: &Case<'_>) -> Option<String> {
    let limit = constants::conventional_tripping().filter(|_| practice == Practice::Iec)?;
    let both = Coordination::new(case.rating.value, limit.value, case.capacity, limit.value);
    Some(format!(
        "the breaker is sure to open only at I2 = 1.45 × {} = {}; the conductors bear 1.45 × {} = {}",
        case.rating.value.show(),
        show_rounded(both.tripping),
        show_rounded(both.capacity),
        show_rounded(both.limit)
    ))
}

/// Where a smaller breaker goes. Those inside a PDU are not exchanged on site.
fn smaller_device(analysis: &Analysis<'_>, id: ElementId) -> &'static str {
    match analysis.graph.kind(id) {
        ElementKind::Circuit(_) => "fit a breaker",
        _ => "feed it from behind a breaker",
    }
}

/// The largest device rating made that the conductor bears.
fn largest_device(practice: Practice, capacity: Current) -> String {
    let ratings = breakers::standard_ratings(practice);
    let ratings = ratings.map_or(&[][..], |ratings| &ratings.value);
    let mut fitting = ratings
        .iter()
        .filter(|rating| rating.in_amperes() <= capacity.in_amperes() * (1.0 + 1e-9));
    fitting
        .next_back()
        .map_or_else(|| show_rounded(capacity), Quantity::show)
}

/// A bank without a breaker on record, behind one that is too large for its cords.
pub(super) fn no_breaker_on_record(about: SmolStr, fact: Fact, basis: Citation) -> Gap {
    let bank = &fact.within;
    let (missing, why, advice) = match fact.state {
        FactState::Unreadable => (
            "the rating of the breaker cannot be read",
            format!("Open: the rating of the breaker of bank {bank} cannot be read"),
            "Read the rated current off the breaker and write it as its `rating`.",
        ),
        FactState::Absent | FactState::Written => (
            "whether the bank has a breaker",
            format!("Missing: whether bank {bank} has a breaker (look at the strip)"),
            "Look at the strip: write the `breaker` of the bank, or `breakers: none` for the model.",
        ),
    };
    Gap {
        headline: format!("can an overload burn cords at PDU model {about}? {why}"),
        about,
        kind: "bank-breaker",
        span: fact.span,
        missing: missing.into(),
        basis,
        advice: advice.into(),
        wants: vec![fact],
    }
}
