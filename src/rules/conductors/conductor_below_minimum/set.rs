//! One end of a cord set: what the least conductor depends on.

use smol_str::SmolStr;

use crate::analysis::{TypeOrModel, field_or_name};
use crate::finding::Fact;
use crate::model::cords::CordType;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::quantity::{ConductorSize, Current, Length};
use crate::rules::sharers::Sharers;
use crate::source::Span;
use crate::tables::couplers::Coupler;

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
    /// From plug to connector, as far as it is known.
    pub length: Length,
    pub length_at: Span,
    /// A part of the length that is not given.
    pub length_gap: Option<Fact>,
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

/// A size that is not given, of sets with these connectors.
pub(super) fn unsized_set(
    kind: &Named<CordType>,
    is_judged: impl Fn(&Coupler) -> bool,
) -> Option<Fact> {
    let mut sets = kind.flexes();
    let (leg, flex) = sets.find(|(leg, flex)| {
        let connector = kind.connector_of(leg.map(|leg| &leg.item));
        flex.conductor.given().is_none() && connector.coupler().is_some_and(&is_judged)
    })?;
    let size = Some(flex.conductor);
    Some(match leg.filter(|leg| !leg.conductor.is_absent()) {
        Some(leg) => Fact::of(kind, "legs.conductor", size).within(leg.name.value.clone()),
        None => Fact::of(kind, "conductor", size),
    })
}

/// A plain set, or one for each leg of a splitter, whose length is that of trunk and leg together.
pub(super) fn sets<'a>(
    (id, kind): (Id<CordType>, &'a Named<CordType>),
    length: &'a Field<Length>,
) -> impl Iterator<Item = Set<'a>> {
    kind.flexes().filter_map(move |(leg, flex)| {
        let name = &kind.name.value;
        let own = leg.map(|leg| (&leg.length, Some(&leg.name.value)));
        let parts = std::iter::once((length, None)).chain(own);
        let gap = |(part, leg): (&Field<Length>, Option<&Name>)| {
            part.given().is_none().then(|| match leg {
                Some(leg) => Fact::of(kind, "legs.length", Some(part)).within(leg.clone()),
                None => Fact::of(kind, "length", Some(part)),
            })
        };
        let known = parts.clone().filter_map(|(part, _)| part.known().copied());
        let rating = leg.map(|leg| &*leg.rating).filter(|own| !own.is_absent());
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
            connector: kind.connector_of(leg.map(|leg| &leg.item)).given()?,
            size: flex.conductor.given()?,
            length: known.fold(Length::default(), |sum, part| sum + part),
            length_at: field_or_name(length, &kind.name),
            length_gap: parts.clone().find_map(gap),
            rating: rating.unwrap_or(&kind.rating),
        })
    })
}
