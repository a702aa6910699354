//! Whether the cordage on a hot inlet stands its heat.

use crate::analysis::Analysis;
use crate::graph::{ElementId, ElementKind};
use crate::model::text::CordageRef;
use crate::model::value::Field;
use crate::quantity::degrees_celsius;

/// The cordage at the far end of a cord or a leg.
pub(super) fn cordage<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<&'a Field<CordageRef>> {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(id) else {
        return None;
    };
    let kind = analysis.graph.cord_type(analysis.model, cord)?;
    let leg = match analysis.graph.kind(id) {
        ElementKind::Leg(_, leg) => kind.legs.items().get(leg as usize),
        _ => None,
    };
    Some(leg.map_or(&kind.cordage, |leg| leg.cordage.or_further(&kind.cordage)))
}

/// A North American jacket says what it bears by its mark, not by its name.
pub(super) fn is_marked_hot(analysis: &Analysis<'_>, id: ElementId) -> bool {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(id) else {
        return false;
    };
    let kind = analysis.graph.cord_type(analysis.model, cord);
    let mark = kind.and_then(|kind| kind.temperature.known().copied());
    mark.is_some_and(|mark| mark >= degrees_celsius(90.0))
}
