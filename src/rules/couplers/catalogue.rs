//! A cord type of the site that would do instead.

use crate::analysis::Analysis;
use crate::graph::{CordFeed, ElementId, ElementKind, Receiver};
use crate::model::cords::{Cord, CordType};
use crate::model::value::{Id, Name, Named};
use crate::quantity::{InUnits, Length};
use crate::tables::couplers::Coupler;
use crate::tables::mating::{EarthMade, Mate, mates};

/// A plain cord type of the site that enters the outlet and the inlet of a cord, makes the earth and
/// suits; of several the one nearest in length to the cord it replaces.
pub fn instead<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
    suits: impl Fn(&CordType) -> bool,
) -> Option<&'a Name> {
    let ElementKind::Cord(cord) = analysis.graph.kind(id) else {
        return None;
    };
    let outlet = outlet(analysis, cord)?;
    let end = analysis.graph.receiver(id)?;
    let inlet = matches!(end, Receiver::Inlet(_))
        .then(|| analysis.pins(*end))
        .flatten()?;
    let inlet = inlet.coupler.coupler()?;
    let now = analysis.graph.cord_type(analysis.model, cord);
    let wanted = now.and_then(|kind| kind.length.known().copied());
    let fits = |kind: &&Named<CordType>| {
        let ends = kind.plug.coupler().zip(kind.connector.coupler());
        let is_other = now.is_none_or(|now| !std::ptr::eq(now, &kind.item));
        is_other
            && kind.legs.is_empty()
            && ends.is_some_and(|(plug, connector)| {
                is_good(&mates(outlet, plug)) && is_good(&mates(connector, inlet))
            })
            && suits(&kind.item)
    };
    let types = analysis.types_on_offer().filter(fits);
    types
        .min_by(|a, b| apart(a, wanted).total_cmp(&apart(b, wanted)))
        .map(|kind| &kind.name.value)
}

/// No other cord makes a joint right.
fn outlet<'a>(analysis: &Analysis<'a>, cord: Id<Cord>) -> Option<&'a Coupler> {
    let feed = analysis.graph.links.cord_feeds[cord.index()]?;
    let is_joint = matches!(feed, CordFeed::Cord(_));
    (!is_joint).then(|| analysis.contacts(cord)).flatten()
}

fn is_good(mate: &Mate) -> bool {
    matches!(
        mate,
        Mate::Fits {
            earth: EarthMade::Yes,
            ..
        }
    )
}

fn apart(kind: &Named<CordType>, wanted: Option<Length>) -> f64 {
    let lengths = kind.length.known().copied().zip(wanted);
    lengths.map_or(f64::INFINITY, |(a, b)| {
        (a.in_metres() - b.in_metres()).abs()
    })
}
