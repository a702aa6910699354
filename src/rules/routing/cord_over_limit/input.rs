//! The input cord of a PDU against the limit.

use crate::analysis::{Analysis, Lack, field_or_name, place};
use crate::citation::Cited;
use crate::finding::{Fact, Finding, Measure};
use crate::model::pdus::Pdu;
use crate::model::places::Zone;
use crate::model::value::{Field, Id, Named};
use crate::quantity::{Length, Quantity};
use crate::rules::Draft;
use crate::rules::routing::stock::is_above;
use crate::rules::told_once::ToldOnce;

use super::{RULE, headline, room, unknown};

/// The input cord of a strip.
pub(super) fn input_cord(
    analysis: &Analysis<'_>,
    pdu: Id<Pdu>,
    zone: &Named<Zone>,
    limit: &Cited<Length>,
    unsaid: &mut ToldOnce<Fact>,
) -> Option<Finding> {
    if analysis.is_without_input_cord(pdu) {
        return None;
    }
    let model = &analysis.model.pdu_models[analysis.graph.links.pdu_models[pdu.index()]?];
    let field = model
        .cord
        .known()
        .map_or(&Field::Absent, |cord| &cord.length);
    let strip = &analysis.model.pdus[pdu];
    let Some(length) = field.given() else {
        let lack = Lack {
            missing: "its length",
            fact: Fact::of(model, "cord.length", Some(field)),
        };
        let what = format!("the input cord of PDU model {}", model.name.value);
        let told = unsaid.tell(lack.fact.clone(), || unknown(&what, &lack, zone, limit));
        told.suffered_by([strip.name.value.clone()]);
        return None;
    };
    if !is_above(length.value, limit.value) {
        return None;
    }
    let what = format!("the input cord of PDU {}", strip.name.value);
    let place_of_model = field_or_name(&strip.model, &strip.name);
    let draft = Draft::new(
        &RULE,
        headline(analysis, &what, length.value, limit.value),
        place_of_model,
        format!("PDU {}", strip.name.value),
        limit.citation.clone(),
    )
    .above([room(zone)])
    .below([place(
        length.span,
        format!("model {}: {}", model.name.value, length.value.show()),
    )])
    .measured(Measure::above(length.value, limit.value))
    .advice(format!(
        "Order the PDU with a shorter input cord, or have the {} set nearer to it.",
        analysis.words().socket
    ))
    .about([strip.name.value.clone()]);
    Some(draft.finish())
}
