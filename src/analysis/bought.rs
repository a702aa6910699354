//! What suppliers say of the cords that they make.

use crate::model::cords::{Cord, CordState};
use crate::model::value::{Id, Spanned};
use crate::quantity::{Length, Tolerance};

use super::Analysis;

impl<'a> Analysis<'a> {
    /// By how much a cord that does not hang yet may be made shorter than its type says: the most that any offer of its
    /// make allows in its length. `None` for one that was measured, or of which nobody says it.
    pub fn may_be_short(&self, cord: Id<Cord>) -> Option<(Length, &'a Spanned<Tolerance>)> {
        let item = &self.model.cords[cord];
        let to_come = item.state.known().is_some_and(|state| {
            matches!(
                state,
                CordState::ToFit | CordState::OnOrder | CordState::InStore
            )
        });
        let kind = self.graph.links.cord_types[cord.index()]?;
        let make = self.graph.links.makes[kind.index()]?;
        let length = *self.model.cord_types[kind].length.known()?;
        let offers = self.model.offers.iter();
        let own = offers.filter(|(id, offer)| {
            self.graph.links.offered[id.index()] == Some(make) && offer.made(length).is_some()
        });
        let tolerances = own.filter_map(|(_, offer)| offer.item.tolerance.given());
        let worst = tolerances.reduce(|a, b| if b.value.minus > a.value.minus { b } else { a })?;
        (to_come && item.length.is_absent()).then_some((worst.value.minus, worst))
    }
}
