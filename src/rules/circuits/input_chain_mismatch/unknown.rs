//! What cannot be judged for want of a rating.

use crate::analysis::field_or_name;
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::model::circuits::Circuit;
use crate::model::pdus::PduModel;
use crate::model::text::CouplerRef;
use crate::model::value::{Name, Named, Spanned};
use crate::rules::Draft;
use crate::tables::words::Words;

use super::RULE;

/// A circuit whose breaker has no known rating.
pub(super) fn breaker(circuit: &Named<Circuit>, words: &Words) -> Finding {
    let headline = format!(
        "do breaker and {} of circuit {} go together? Missing: the rating of the breaker (panel)",
        words.socket, circuit.name.value
    );
    let inner = circuit
        .breaker
        .known()
        .and_then(|breaker| breaker.rating.span());
    let at = inner.unwrap_or_else(|| field_or_name(&circuit.breaker, &circuit.name));
    Draft::new(
        &RULE,
        headline,
        at,
        "not decided: the rating is missing",
        Citation::marked("breaker as marked"),
    )
    .wants([Fact::of(
        circuit,
        "breaker.rating",
        circuit.breaker.known().map(|breaker| &breaker.rating),
    )])
    .about([circuit.name.value.clone()])
    .kind("breaker")
    .advice("Read the rated current off the breaker, like `breaker: {rating: 16 A, curve: C}`.")
    .finish()
}

/// A PDU model whose rating is not known.
pub(super) fn pdu(model: &Named<PduModel>) -> Draft {
    let headline = format!(
        "can PDU model {} burn its own plug? Missing: its rating (nameplate)",
        model.name.value
    );
    let at = field_or_name(&model.rating, &model.name);
    Draft::new(
        &RULE,
        headline,
        at,
        "not decided: the rating is missing",
        Citation::marked("PDU as marked"),
    )
    .wants([Fact::of(model, "rating", Some(&model.rating))])
    .about([model.name.value.clone()])
    .kind("rating")
    .advice("Read the rated current off the PDU, like `rating: 16 A`.")
}

/// A coupler that no table gives a rated current for.
pub(super) fn coupler(what: &str, coupler: &Spanned<CouplerRef>, owner: &Spanned<Name>) -> Draft {
    let headline =
        format!("does {what} suit its breaker? Open: no table here gives its rated current");
    Draft::new(
        &RULE,
        headline,
        coupler.span,
        "not decided: no rated current known",
        coupler.value.citation.clone(),
    )
    .open()
    .about([owner.value.clone()])
    .kind("coupler")
    .advice("Read the rated current off the part and compare it with the breaker.")
}
