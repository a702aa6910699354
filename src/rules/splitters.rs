//! Rules of *splitters*: cords with one plug and several legs.

pub(crate) mod splitter_defeats_redundancy;
pub(crate) mod splitter_in_series;
pub(crate) mod splitter_overloaded;
mod undecided;

use crate::analysis::Analysis;
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::{Cord, CordType};
use crate::model::value::{Id, Named};

/// A splitter cord that hangs on a supply.
#[derive(Clone, Copy)]
struct Splitter<'a> {
    /// Its trunk in the power graph; the legs lie below it.
    trunk: ElementId,
    /// The cord.
    cord: Id<Cord>,
    /// Its type, which has legs.
    kind: &'a Named<CordType>,
}

impl<'a> Splitter<'a> {
    /// The splitter whose trunk this element is, if it is one.
    fn at(analysis: &Analysis<'a>, trunk: ElementId) -> Option<Self> {
        let ElementKind::Cord(cord) = analysis.graph.kind(trunk) else {
            return None;
        };
        let kind = &analysis.model.cord_types[analysis.graph.links.cord_types[cord.index()]?];
        (!kind.legs.is_empty()).then_some(Self { trunk, cord, kind })
    }

    /// All splitters, feeders before what they feed.
    fn all(analysis: &Analysis<'a>) -> impl Iterator<Item = Self> {
        let analysis = *analysis;
        let elements = analysis.graph.elements();
        elements.filter_map(move |(id, _)| Self::at(&analysis, id))
    }

    /// A cord type of the site without legs that is otherwise like the splitter, so that it can take
    /// the place of a leg: same plug, connector, colour and locks, conductors no thinner, and no
    /// shorter than trunk and leg together.
    fn plain_type(self, analysis: &Analysis<'a>) -> Option<&'a Named<CordType>> {
        let leg = self.kind.legs.items().first()?;
        let least = self.kind.length.known().copied()? + leg.length.known().copied()?;
        let area = |kind: &CordType| kind.conductor.known().copied().map(|size| size.area());
        let mut types = analysis.types_on_offer();
        types.find(|kind| {
            kind.legs.is_empty()
                && kind.plug.known() == self.kind.plug.known()
                && kind.connector.known() == leg.connector.known()
                && kind.colour.known() == self.kind.colour.known()
                && kind.locks() == self.kind.locks()
                && area(kind) >= area(self.kind)
                && kind
                    .length
                    .known()
                    .copied()
                    .is_some_and(|length| length >= least)
        })
    }

    /// `such as one of type c14-1.5m`, where the site has such a type; begins with a blank.
    fn such_as(self, analysis: &Analysis<'a>) -> String {
        let kind = self.plain_type(analysis);
        kind.map_or_else(String::new, |kind| {
            format!(", such as one of type {}", kind.name.value)
        })
    }
}
