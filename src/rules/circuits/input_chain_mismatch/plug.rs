//! The plug of a PDU and the breaker of its circuit.

use crate::analysis::{Analysis, exceeds, place};
use crate::finding::{Finding, Measure};
use crate::model::circuits::Circuit;
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Named};
use crate::quantity::Quantity;
use crate::rules::Draft;
use crate::rules::circuits::national::{Unsettled, ahead, own_rating_only};
use crate::tables::Practice;
use crate::tables::breaker_ahead::{Ahead, Behind, Place};
use crate::tables::couplers::Side;

use super::ratings::breaker;
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
    let rated = coupler.value.rated_as(Side::Pins, practice);
    let rated = rated.current.as_ref()?;
    if !exceeds(breaker.value, rated.value) {
        return None;
    }
    let name = &item.name.value;
    let at = item.from.span().unwrap_or(item.name.span);
    let behind = Behind {
        place: Place::Plug,
        coupler: &coupler.value,
        rated: rated.value,
        is_shared: true,
    };
    let (most, rule) = match ahead(analysis, practice, &behind, breaker.value) {
        Ahead::Allowed(_) => return None,
        Ahead::Unsettled(perhaps) => {
            let open = Unsettled {
                what: &format!("the plug of PDU {name} ({})", coupler.value.name),
                at,
                coupler: &coupler.value,
                rated,
                device: breaker.value,
                perhaps,
            };
            let draft = open.draft(analysis, &RULE);
            return Some(draft.about([name.clone()]).finish());
        }
        Ahead::UpTo(most, rule) => (most, rule),
    };
    let (shown, limit) = (breaker.value.show(), rated.value.show());
    let headline = format!(
        "the plug of PDU {name} ({}) can overheat and burn whoever touches it: it is made for {limit}, and the breaker of circuit {} lets {shown} pass",
        coupler.value.name, circuit.name.value
    );
    Some(
        Draft::new(
            &RULE,
            headline,
            at,
            format!("plug made for {limit}"),
            rated.citation.clone(),
        )
        .level(level_of(rated))
        .also([rule.unwrap_or_else(own_rating_only)])
        .above([
            place(circuit.name.span, format!("circuit {}", circuit.name.value)),
            place(breaker.span, format!("breaker of {}", breaker.value.show())),
        ])
        .below([place(coupler.span, format!("made for {limit}"))])
        .about([name.clone()])
        .kind("plug")
        .advice(format!(
            "Feed PDU {name} from a circuit whose breaker is {} or less.",
            sizes::breaker_up_to(practice, most).show()
        ))
        .working([format!("breaker {shown} > plug {limit}")])
        .measured(Measure::above(breaker.value, rated.value))
        .working(sizes::series_line(practice, &coupler.value))
        .finish(),
    )
}
