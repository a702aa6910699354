//! What suppliers say of the cords that they make.

use crate::model::cords::{Cord, CordState, CordType};
use crate::model::offers::Offer;
use crate::model::value::{Field, Id, Named};
use crate::quantity::Tolerance;

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

    /// The tolerances that a cord which does not hang yet may be made within, by the offers of its make in its length,
    /// each with its offer. None for one that was measured, or of which nobody says it.
    pub fn made_within(
        &self,
        cord: Id<Cord>,
    ) -> impl Iterator<Item = (&'a Named<Offer>, &'a Field<Tolerance>)> {
        let kind = self.graph.links.cord_types[cord.index()];
        let kind = kind.filter(|_| self.is_to_come(cord));
        let length = kind.and_then(|kind| self.model.cord_types[kind].length.known().copied());
        let offers = kind.into_iter().flat_map(|kind| self.offers_of_type(kind));
        let own =
            offers.filter(move |offer| length.is_some_and(|length| offer.made(length).is_some()));
        own.map(|offer| (offer, &offer.item.tolerance))
    }

    /// Whether a cord does not hang yet, and nobody has measured it.
    fn is_to_come(&self, cord: Id<Cord>) -> bool {
        let item = &self.model.cords[cord];
        let to_come = item.state.known().is_some_and(|state| {
            matches!(
                state,
                CordState::ToFit | CordState::OnOrder | CordState::InStore
            )
        });
        to_come && item.length.is_absent()
    }
}
