//! The lengths that plain cords can be had in, by their make: those of the site's types, and of its stock.

use rustc_hash::FxHashMap;

use crate::model::cords::CordType;
use crate::model::value::Id;
use crate::quantity::Length;

use super::Analysis;

/// A length that a cord can be had in: that of a type, or of the stock.
#[derive(Clone, Copy, Debug)]
pub struct Offer {
    /// The length.
    pub length: Length,
    /// The type; `None` for a length of the stock.
    pub kind: Option<Id<CordType>>,
}

/// All offers, the shortest first; of equal ones types come first, in their order.
#[derive(Debug)]
pub(super) struct Lengths {
    types: FxHashMap<String, Vec<Offer>>,
    stock: Vec<Offer>,
}

impl Lengths {
    pub(super) fn of(analysis: &Analysis<'_>) -> Self {
        let mut types: FxHashMap<String, Vec<Offer>> = FxHashMap::default();
        let plain = analysis.model.cord_types.iter();
        for (id, kind) in plain.filter(|(_, kind)| kind.legs.is_empty()) {
            if let Some(length) = kind.length.known().copied() {
                let kind = make(kind);
                let offers = types.entry(kind).or_default();
                offers.push(Offer {
                    length,
                    kind: Some(id),
                });
            }
        }
        let stock = analysis
            .model
            .site
            .stock_lengths
            .iter()
            .map(|length| Offer {
                length: length.value,
                kind: None,
            });
        let mut stock: Vec<Offer> = stock.collect();
        types.values_mut().chain([&mut stock]).for_each(|offers| {
            offers.sort_by(|a, b| a.length.value.total_cmp(&b.length.value));
        });
        Self { types, stock }
    }
}

impl Analysis<'_> {
    /// The shortest length that plain cords of the make of `kind` can be had in and that is not
    /// `too_short`, which is true of all below some length.
    pub fn shortest_length(
        &self,
        kind: &CordType,
        too_short: impl Fn(Length) -> bool,
    ) -> Option<Offer> {
        let lengths = self.shared.lengths(self);
        let types = lengths.types.get(&make(kind)).map(Vec::as_slice);
        let first = |offers: &[Offer]| {
            let at = offers.partition_point(|offer| too_short(offer.length));
            offers.get(at).copied()
        };
        let offers = [types.and_then(first), first(&lengths.stock)];
        // Of equal ones the first.
        let offers = offers.into_iter().flatten();
        offers.reduce(|a, b| if b.length < a.length { b } else { a })
    }
}

/// What cords of different lengths have in common that are of one make.
fn make(kind: &CordType) -> String {
    let plug = kind.plug.known().map(|coupler| &coupler.name);
    let connector = kind.connector.known().map(|coupler| &coupler.name);
    let (conductor, cordage) = (kind.conductor.as_written(), kind.cordage.as_written());
    let colour = kind.colour.known();
    format!("{plug:?} {connector:?} {conductor:?} {cordage:?} {colour:?}")
}
