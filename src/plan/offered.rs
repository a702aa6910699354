//! What the offers of a site make: where there are any, new cords are of them and of nothing else.

use crate::analysis::Analysis;
use crate::model::cords::CordType;
use crate::model::offers::{Made, Offer, is_same_length};
use crate::model::value::{Id, Named};
use crate::quantity::{Length, Money};
use crate::tables::{Practice, usual_lengths};

use super::ends::Ends;

/// Makes that somebody offers today.
#[derive(Clone, Debug)]
pub(super) struct Offered<'a> {
    makes: Vec<OfMake<'a>>,
}

#[derive(Clone, Debug)]
struct OfMake<'a> {
    id: Id<CordType>,
    make: &'a Named<CordType>,
    offers: Vec<&'a Named<Offer>>,
}

impl<'a> Offered<'a> {
    /// The makes of a site that are offered; `None` where nobody offers anything at all.
    pub fn of(analysis: &Analysis<'a>) -> Option<Self> {
        let model = analysis.model;
        if model.offers.is_empty() {
            return None;
        }
        let makes = model.cord_makes.iter().map(|(id, make)| {
            let own = analysis.offers_of(id);
            let offers = own.filter(|offer| analysis.ended(offer).is_none());
            OfMake {
                id,
                make,
                offers: offers.collect(),
            }
        });
        let plain = makes.filter(|own| !own.offers.is_empty() && own.make.legs.is_empty());
        Some(Self {
            makes: plain.collect(),
        })
    }

    /// All lengths that a plan may choose from: those that are kept, and of what is made to measure the usual ones
    /// and the longest.
    pub fn lengths(&self, practice: Practice) -> Vec<Length> {
        let mut all = Vec::new();
        for offer in self.makes.iter().flat_map(|own| &own.offers) {
            all.extend(offer.lengths.iter().map(|length| length.value));
            let longest = offer.made_to.known().and_then(|made| made.to.known());
            let usual = usual_lengths::of(practice).iter().map(|usual| &usual.value);
            let to_measure = usual.chain(longest).copied();
            all.extend(
                to_measure.filter(|length| matches!(offer.made(*length), Some(Made::ToMeasure(_)))),
            );
        }
        all
    }

    /// By how much the least exact of the offers lets a cord be shorter than it is ordered.
    pub fn short(&self) -> Length {
        let offers = self.makes.iter().flat_map(|own| &own.offers);
        let minus = offers.filter_map(|offer| Some(offer.tolerance.known()?.minus));
        let worst = minus.reduce(|a, b| if b > a { b } else { a });
        worst.unwrap_or_default()
    }

    /// Whether a cord with these ends is made in a length, in some colour.
    pub fn makes(&self, ends: &Ends, length: Length) -> bool {
        let mut own = self.makes.iter().filter(|own| has_ends(own.make, ends));
        own.any(|own| own.offers.iter().any(|offer| offer.made(length).is_some()))
    }

    /// The makes with these ends in a length and a colour, in the order of the definitions, or the cheapest first.
    pub fn that_make(
        &self,
        ends: &Ends,
        (length, colour): (Length, &str),
        is_cheapest_first: bool,
    ) -> Vec<Id<CordType>> {
        let serves =
            |offer: &&&Named<Offer>| offer.made(length).is_some() && offer.is_made_in(Some(colour));
        let own = self.makes.iter().filter(|own| has_ends(own.make, ends));
        let own = own.filter_map(|own| {
            let offers: Vec<_> = own.offers.iter().filter(serves).collect();
            let prices = offers.iter().filter_map(|offer| {
                let prices = offer.price.known()?;
                prices.of(prices.fewest() as usize)
            });
            (!offers.is_empty()).then(|| (own.id, prices.reduce(cheaper)))
        });
        let mut own: Vec<(Id<CordType>, Option<Money>)> = own.collect();
        if is_cheapest_first {
            // Prices of another currency than the first stay where they are: nothing here compares them.
            own.sort_by(|a, b| match (a.1, b.1) {
                (Some(a), Some(b)) => b.is_less(a).cmp(&a.is_less(b)),
                (a, b) => b.is_some().cmp(&a.is_some()),
            });
        }
        own.into_iter().map(|(id, _)| id).collect()
    }
}

fn cheaper(one: Money, other: Money) -> Money {
    if other.is_less(one) == Some(true) {
        other
    } else {
        one
    }
}

fn has_ends(make: &CordType, ends: &Ends) -> bool {
    make.plug.row().map(|plug| &plug.name) == Some(&ends.plug.name)
        && make.connector.row().map(|own| &own.name) == Some(&ends.connector.name)
}

/// Whether a type of the site is such a cord already.
pub(super) fn is_of(kind: &CordType, ends: &Ends, length: Length) -> bool {
    has_ends(kind, ends)
        && kind.legs.is_empty()
        && kind
            .length
            .known()
            .is_some_and(|own| is_same_length(*own, length))
}
