//! The rated voltage of cordage.

use rustc_hash::FxHashSet;

use crate::finding::{Finding, Level, Measure};
use crate::graph::{ElementId, ElementKind};
use crate::model::text::CordageRef;
use crate::model::value::Spanned;
use crate::quantity::show_pair;
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;
use crate::source::Span;
use crate::survey::Survey;

use super::RULE;
use crate::rules::couplers::stress::Stress;

/// Whether anything is to be said of the cordage at an element.
pub(super) fn is_odd(survey: &Survey<'_>, id: ElementId, stress: Stress) -> bool {
    judged(survey, id, stress, &mut FxHashSet::default()).is_some()
}

/// The cordage of a cord, a leg or a PDU's own cord, against its rated voltage U0/U.
pub(super) fn judged(
    survey: &Survey<'_>,
    id: ElementId,
    stress: Stress,
    seen: &mut FxHashSet<Span>,
) -> Option<Finding> {
    let cordage = cordage_of(survey, id)?;
    let rated = cordage.value.voltage;
    let (voltage, limit, between) = if stress.voltage > rated.between {
        (stress.voltage, rated.between, "between conductors")
    } else {
        let to_earth = stress
            .to_earth
            .filter(|voltage| *voltage > rated.to_earth)?;
        (to_earth, rated.to_earth, "to earth")
    };
    if !seen.insert(cordage.span) {
        return None;
    }
    let measure = Measure::above(voltage, limit);
    let (voltage, limit) = show_pair(voltage, limit);
    let (name, source) = (&cordage.value.name, cordage.value.citation.clone());
    let headline = format!(
        "{} is of {name}, made for {limit} {between}, and is at {voltage}: its insulation may break down",
        described(survey, id)
    );
    Some(
        Draft::new(
            &RULE,
            headline,
            cordage.span,
            format!("{name}: {limit} {between}"),
            source.clone(),
        )
        .level(borne_by(Level::Error, std::slice::from_ref(&source)))
        .above(survey.hops_above(id))
        .above([survey.hop(id)])
        .working([format!("{voltage} is above {limit}")])
        .measured(measure)
        .advice("Order the cord with cordage for this voltage.")
        .about([survey.full_name(id)])
        .kind("cordage")
        .finish(),
    )
}

/// What is of this cordage, for the start of a sentence.
fn described(survey: &Survey<'_>, id: ElementId) -> String {
    let own = survey.describe(id);
    match survey.graph.kind(id) {
        ElementKind::Pdu(_) => format!("the input cord of {own}"),
        _ => own,
    }
}

fn cordage_of<'a>(survey: &Survey<'a>, id: ElementId) -> Option<&'a Spanned<CordageRef>> {
    match survey.graph.kind(id) {
        ElementKind::Cord(cord) => survey.graph.cord_type(survey.model, cord)?.cordage.given(),
        ElementKind::Leg(cord, leg) => {
            let kind = survey.graph.cord_type(survey.model, cord)?;
            // The trunk's cordage has had its say at the trunk.
            kind.legs.items().get(leg as usize)?.cordage.given()
        }
        ElementKind::Pdu(pdu) => {
            let cord = survey.graph.pdu_model(survey.model, pdu)?.cord.get()?;
            cord.cordage.given()
        }
        ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => None,
    }
}
