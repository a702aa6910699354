//! The plug of a PDU and the breaker of its circuit.

use crate::analysis::{Analysis, exceeds, place};
use crate::citation::Citation;
use crate::finding::{Finding, Measure};
use crate::model::circuits::Circuit;
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Named};
use crate::quantity::Quantity;
use crate::rules::Draft;
use crate::tables::Practice;

use super::allowed::{allowed_below, breaker};
use super::{RULE, level_of, sizes};

pub(super) fn plug(
    analysis: &Analysis<'_>,
    practice: Practice,
    circuit: Id<Circuit>,
    pdu: Id<Pdu>,
    item: &Named<Pdu>,
) -> Option<Finding> {
    let circuit = &analysis.model.circuits[circuit];
    let breaker = breaker(circuit)?;
    let coupler = analysis
        .graph
        .pdu_model(analysis.model, pdu)?
        .plug
        .given()?;
    let rated = coupler.value.rated(practice).current.as_ref()?;
    // The table for receptacles lets 15 A parts stand on 20 A circuits: so do their plugs.
    let allowed = allowed_below(practice, breaker.value, coupler.value, true);
    let is_allowed =
        allowed.is_some_and(|allowed| coupler.value.fused || !exceeds(allowed.value, rated.value));
    if is_allowed || !exceeds(breaker.value, rated.value) {
        return None;
    }
    let (shown, limit) = (breaker.value.show(), rated.value.show());
    let name = &item.name.value;
    let headline = format!(
        "the plug of PDU {name} ({}) can overheat and burn whoever touches it: it is made for {limit}, and the breaker of circuit {} lets {shown} pass",
        coupler.value.name, circuit.name.value
    );
    let basis = Citation::common_practice(
        "a breaker protects what follows it up to the rated current of that",
    );
    let at = item.from.span().unwrap_or(item.name.span);
    Some(
        Draft::new(
            &RULE,
            headline,
            at,
            format!("plug made for {limit}"),
            rated.citation.clone(),
        )
        .level(level_of(rated))
        .also([basis])
        .above([
            place(circuit.name.span, format!("circuit {}", circuit.name.value)),
            place(breaker.span, format!("breaker of {}", breaker.value.show())),
        ])
        .below([place(coupler.span, format!("made for {limit}"))])
        .about([name.clone()])
        .kind("plug")
        .advice(format!(
            "Feed PDU {name} from a circuit whose breaker is {} or less.",
            sizes::breaker_up_to(practice, rated.value).show()
        ))
        .working([format!("breaker {shown} > plug {limit}")])
        .measured(Measure::above(breaker.value, rated.value))
        .working(sizes::series_line(practice, coupler.value))
        .finish(),
    )
}
