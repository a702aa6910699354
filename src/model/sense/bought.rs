//! Offers and orders that cannot be meant.

use crate::model::Model;
use crate::model::fault::Noted;
use crate::model::offers::Offer;
use crate::model::value::{Field, Name, Named};
use crate::quantity::Quantity;

use super::bad;

/// Notes what cannot be meant; it counts as unreadable.
pub(super) fn check(model: &mut Model) -> Vec<Noted> {
    let mut told: Vec<Noted> = model.offers.items_mut().filter_map(backwards).collect();
    for order in model.orders.items_mut() {
        for line in order.item.lines.items_mut() {
            let (Field::Given(ordered), Field::Given(received)) = (&line.ordered, &line.received)
            else {
                continue;
            };
            let (all, came, at) = (ordered.value, received.value, received.span);
            if came <= all {
                continue;
            }
            line.item.received = Field::Unreadable(at);
            let headline = format!("{came} have come of {all} that were ordered");
            let advice = "Look at the delivery note: write what has come of this order alone.";
            let order = order.name.value.clone();
            let path: [Name; 4] = [
                "orders".into(),
                order,
                line.name.value.clone(),
                "received".into(),
            ];
            told.push(bad(at, headline, advice, path));
        }
    }
    told
}

/// The shortest length that is longer than the longest.
fn backwards(offer: &mut Named<Offer>) -> Option<Noted> {
    let made = offer.made_to.given()?;
    let (from, to) = (made.value.from.given()?, made.value.to.given()?);
    if from.value <= to.value {
        return None;
    }
    let at = from.span;
    let headline = format!(
        "from {} to {} there is no length",
        from.value.show(),
        to.value.show()
    );
    let path = ["offers".into(), offer.name.value.clone(), "made-to".into()];
    offer.item.made_to = Field::Unreadable(at);
    Some(bad(at, headline, "Write the shortest length first.", path))
}
