//! The rating of a PDU and its plug.

use crate::analysis::{exceeds, place};
use crate::finding::Measure;
use crate::model::pdus::PduModel;
use crate::model::value::Named;
use crate::quantity::{InUnits, Quantity};
use crate::rules::Draft;
use crate::tables::couplers::Side;
use crate::tables::{Practice, constants};

use super::{RULE, level_of, sizes, unknown};

/// The strip's own rating against its plug: not above it, and under UL not above 80 % of it.
pub(super) fn check(practice: Practice, model: &Named<PduModel>) -> Option<Draft> {
    let coupler = model.plug.given()?;
    let what = format!(
        "the plug of PDU model {} ({})",
        model.name.value, coupler.value.name
    );
    let Some(rated) = &coupler.value.rated_as(Side::Pins, practice).current else {
        return Some(unknown::coupler(&what, coupler, &model.name));
    };
    let Some(rating) = model.rating.given() else {
        return Some(unknown::pdu(model));
    };
    let share = constants::equipment_on_plug(practice);
    let limit = share
        .as_ref()
        .map_or(rated.value, |share| rated.value * share.value);
    if !exceeds(rating.value, limit) {
        return None;
    }
    let (shown, limit_shown) = (rating.value.show(), limit.show());
    let headline = format!(
        "{what} can overheat and burn whoever touches it: the PDU is rated {shown}, and with this plug {limit_shown} is the most"
    );
    let line = share.as_ref().map(|share| {
        format!(
            "{:.0} % × {} = {limit_shown}",
            share.value.in_percent(),
            rated.value.show()
        )
    });
    Some(
        Draft::new(&RULE, headline, rating.span, format!("rated {shown}"), rated.citation.clone())
            .level(level_of(rated))
            .also(share.map(|share| share.citation))
            .above([
                place(model.name.span, format!("PDU model {}", model.name.value)),
                place(coupler.span, format!("made for {}", rated.value.show())),
            ])
            .working(line)
            .working([format!("PDU rating {shown} > {limit_shown}")])
            .measured(Measure::above(rating.value, limit))
            .working(sizes::series_line(practice, &coupler.value))
            .about([model.name.value.clone()])
            .kind("rating")
            .advice(format!("Read both off the PDU. If they are right, load it to {limit_shown} at most and write that as its rating.")),
    )
}
