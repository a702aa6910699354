//! What cannot be judged for want of a rating.

use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::model::circuits::Circuit;
use crate::model::pdus::PduModel;
use crate::model::text::CouplerRef;
use crate::model::value::{Name, Named, Spanned};
use crate::rules::Draft;
use crate::survey::field_or_name;

use super::RULE;

/// A circuit whose breaker has no known rating.
pub(super) fn breaker(circuit: &Named<Circuit>) -> Finding {
    let headline = format!(
        "whether breaker and receptacle of circuit {} agree cannot be said: the rating of the breaker is missing",
        circuit.name.value
    );
    let inner = circuit
        .breaker
        .get()
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
        circuit.breaker.get().map(|breaker| &breaker.rating),
    )])
    .about([circuit.name.value.clone()])
    .kind("breaker")
    .advice("Read the rated current off the breaker, like `breaker: {rating: 16 A, curve: C}`.")
    .finish()
}

/// A PDU model whose rating is not known.
pub(super) fn pdu(model: &Named<PduModel>) -> Draft {
    let headline = format!(
        "whether the plug of PDU model {} suits it cannot be said: its rating is missing",
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
    let headline = format!(
        "whether {what} suits its breaker cannot be said: no table here gives its rated current"
    );
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
