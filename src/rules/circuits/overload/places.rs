//! Where an overload is pointed at.

use crate::analysis::{Analysis, place};
use crate::analysis::{Limit, Part};
use crate::finding::Place;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::Quantity;

/// Where an overload is pointed at.
pub(super) struct Places {
    pub ahead: Option<Place>,
    pub main: Place,
    pub behind: Option<Place>,
}

/// The breaker of a circuit stands beside the loads of that circuit; what limits a strip or a bank stands
/// in a model that others share, so that the strip itself is pointed at.
pub(super) fn places(
    analysis: &Analysis<'_>,
    id: ElementId,
    limit: &Limit,
    carries: String,
) -> Places {
    let rated = limit.rated.show();
    let part = match limit.part {
        Part::Breaker => format!("{rated} breaker"),
        Part::Contract => format!("{rated} contracted"),
        Part::Strip => format!("rated {rated}"),
        part => format!("{} for {rated}", part.said_in(analysis.words())),
    };
    let strip = match analysis.graph.kind(id) {
        ElementKind::Bank(..) => analysis.graph.element(id).feeder,
        ElementKind::Pdu(_) => Some(id),
        _ => None,
    };
    let Some(strip) = strip else {
        let main = place(limit.at, format!("{part}, {carries}"));
        return Places {
            ahead: Some(analysis.hop(id)),
            main,
            behind: None,
        };
    };
    let what = analysis.describe(id);
    let limiting = Some(place(limit.at, part));
    let is_ahead = matches!(limit.part, Part::Plug | Part::Receptacle);
    Places {
        ahead: limiting.clone().filter(|_| is_ahead),
        main: place(analysis.name(strip).span, format!("{what} {carries}")),
        behind: limiting.filter(|_| !is_ahead),
    }
}
