//! Lengths: how they are compared and written, and which one can be had next.

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::model::cords::Cord;
use crate::model::value::Id;
use crate::quantity::{Length, millimetres, show_pair};

/// Whether `a` is above `b` by more than the rounding of sums.
pub(super) fn is_above(a: Length, b: Length) -> bool {
    a > b + millimetres(1e-3)
}

/// Two lengths as they are written, with digits enough to tell them apart: `5 m` and `4.5 m`.
pub(super) fn as_written(a: Length, b: Length) -> (String, String) {
    (show_pair(b, a).1, show_pair(a, b).1)
}

/// What all routes rest on.
pub(super) fn route_model() -> Citation {
    Citation::common_practice(
        "route along the rack, constants of site.routing; rack unit 44.45 mm (EIA-310, IEC 60297)",
    )
}

/// The shortest length of at least `least` and below `most` (if there is one) that a plain cord of
/// the same make can be had in: a cord type of the site, or a stock length.
pub(super) fn next_length(
    analysis: &Analysis<'_>,
    cord: Id<Cord>,
    least: Length,
    most: Option<Length>,
) -> Option<String> {
    let kind = analysis.graph.cord_type(analysis.model, cord)?;
    if !kind.legs.is_empty() {
        return None;
    }
    let offer = analysis.shortest_length(kind, |length| is_above(least, length))?;
    let length = offer.length;
    if most.is_some_and(|most| length >= most) {
        return None;
    }
    let name = offer
        .kind
        .map(|kind| &analysis.model.cord_types[kind].name.value);
    Some(match name {
        Some(name) => format!("cord type {name} ({})", analysis.on_tape(length)),
        None => format!("a cord of {}, a stock length", analysis.on_tape(length)),
    })
}
