//! What suppliers say of the cords that they make.

use crate::model::cords::{Cord, CordState, CordType};
use crate::model::offers::Offer;
use crate::model::value::{Field, Id, Named, Spanned};
use crate::quantity::{Length, Tolerance};

use super::{Analysis, is_same_colour};

impl Offer {
    /// Whether it is made in a colour; in one that is not known only where it is made in any.
    pub fn is_made_in(&self, colour: Option<&str>) -> bool {
        let is_it = |own: &str| colour.is_some_and(|colour| is_same_colour(own, colour));
        self.colours.is_empty() || self.colours.iter().any(|own| is_it(&own.value))
    }
}

impl<'a> Analysis<'a> {
    /// What is offered of a make, in the order of the definitions.
    pub fn offers_of(&self, make: Id<CordType>) -> impl Iterator<Item = &'a Named<Offer>> {
        let links = &self.graph.links;
        let offers = self.model.offers.iter();
        offers
            .filter(move |(id, _)| links.offered[id.index()] == Some(make))
            .map(|(_, offer)| offer)
    }

    /// What is offered of the make of a cord type; nothing where it is of none.
    pub fn offers_of_type(&self, kind: Id<CordType>) -> impl Iterator<Item = &'a Named<Offer>> {
        let make = self.graph.links.makes[kind.index()];
        make.into_iter().flat_map(|make| self.offers_of(make))
    }

    /// Why an offer does not hold today, if so.
    pub fn ended(&self, offer: &Offer) -> Option<String> {
        match &offer.valid_until {
            Field::Unreadable(_) => Some("nobody can read until when it holds".to_owned()),
            Field::Given(day) if day.value < self.today => {
                Some(format!("it ended on {}", day.value))
            }
            Field::Given(_) | Field::Absent => None,
        }
    }

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
        let length = *self.model.cord_types[kind].length.known()?;
        let own = self.offers_of_type(kind);
        let own = own.filter(|offer| offer.made(length).is_some());
        let tolerances = own.filter_map(|offer| offer.item.tolerance.given());
        let worst = tolerances.reduce(|a, b| if b.value.minus > a.value.minus { b } else { a })?;
        (to_come && item.length.is_absent()).then_some((worst.value.minus, worst))
    }
}
