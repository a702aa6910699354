//! One end of a cord set: what the least conductor depends on.

use smol_str::SmolStr;

use crate::model::cords::{CordLeg, CordType};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::quantity::{ConductorSize, Current, Length};
use crate::rules::sharers::Sharers;
use crate::survey::TypeOrModel;

/// One end of a cord set: what the least conductor depends on.
pub(super) struct Set<'a> {
    pub about: SmolStr,
    pub what: String,
    pub id: Id<CordType>,
    pub kind: &'a Named<CordType>,
    /// The cord, where one with a length of its own is looked at and not its type.
    pub cord: Option<&'a Name>,
    pub connector: &'a Spanned<CouplerRef>,
    pub size: &'a Spanned<ConductorSize>,
    pub length: Length,
    pub length_at: &'a Spanned<Length>,
    pub rating: &'a Field<Current>,
}

impl Set<'_> {
    /// The cords that are of it: all of the type, or the one that is looked at.
    pub fn cords(&self, sharers: &mut Sharers<'_>) -> Vec<Name> {
        match self.cord {
            Some(cord) => vec![cord.clone()],
            None => sharers.names(TypeOrModel::CordType(self.id)),
        }
    }
}

/// A plain set, or one for each leg of a splitter, whose length is that of trunk and leg together.
pub(super) fn sets<'a>(
    (id, kind): (Id<CordType>, &'a Named<CordType>),
    length: Option<&'a Spanned<Length>>,
) -> impl Iterator<Item = Set<'a>> {
    let plain = (&kind.connector, &kind.conductor, None);
    let legs = kind.legs.items().iter().map(|leg| {
        let own: &CordLeg = &leg.item;
        let size = if own.conductor.is_absent() {
            &kind.conductor
        } else {
            &own.conductor
        };
        (&own.connector, size, Some(leg))
    });
    std::iter::once(plain)
        .chain(legs)
        .filter_map(move |(connector, size, leg)| {
            let (trunk, name) = (length?, &kind.name.value);
            let further = leg.and_then(|leg| leg.length.copied());
            let rating = leg.map(|leg| &leg.rating).filter(|own| !own.is_absent());
            Some(Set {
                about: leg.map_or_else(
                    || name.clone(),
                    |leg| SmolStr::from(format!("{name}/{}", leg.name.value)),
                ),
                what: leg.map_or_else(
                    || format!("cord type {name}"),
                    |leg| format!("leg {} of cord type {name}", leg.name.value),
                ),
                id,
                kind,
                cord: None,
                connector: connector.given()?,
                size: size.given()?,
                length: further.map_or(trunk.value, |further| trunk.value + further),
                length_at: trunk,
                rating: rating.unwrap_or(&kind.rating),
            })
        })
}
