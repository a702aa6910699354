//! Which other conductors or cord types would do in the place of an element's own.

use crate::analysis::{Analysis, Jacket};
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::CordType;
use crate::model::value::Named;
use crate::quantity::{ConductorSize, Current, InUnits};

/// Whether conductors of this size would carry `current` where the element lies; `None` if what they
/// carry there is not known.
pub(super) fn carries(
    analysis: &Analysis<'_>,
    id: ElementId,
    size: ConductorSize,
    jacket: Jacket<'_>,
    current: Current,
) -> Option<bool> {
    let rating = analysis.rating_with(id, size, jacket).current()?;
    Some(rating >= current)
}

/// The best other type of the catalogue for a plain cord: same couplers, no shorter, good enough; the
/// one nearest in length, then the thinnest, then the first by name.
pub(super) fn catalogue_type<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
    is_enough: impl Fn(&CordType) -> bool,
) -> Option<&'a Named<CordType>> {
    let ElementKind::Cord(cord) = analysis.graph.kind(id) else {
        return None;
    };
    let own = analysis.graph.cord_type(analysis.model, cord)?;
    let length = analysis.model.cords[cord]
        .length
        .known()
        .copied()
        .or(own.length.known().copied())?;
    let fits = |kind: &&Named<CordType>| {
        let same = kind.plug.known()?.name == own.plug.known()?.name
            && kind.connector.known()?.name == own.connector.known()?.name;
        let long_enough = kind.length.known().copied()? >= length * (1.0 - 1e-9);
        Some(same && long_enough && kind.legs.is_empty() && is_enough(&kind.item))
    };
    let types = analysis.types_on_offer();
    let fitting = types.filter(|kind| fits(kind) == Some(true));
    fitting.min_by(|a, b| {
        let metres = |kind: &CordType| kind.length.known().map_or(f64::INFINITY, |l| l.in_metres());
        let section = |kind: &CordType| {
            let size = kind.conductor.known();
            size.map_or(f64::INFINITY, |size| size.area().in_square_millimetres())
        };
        let key = |kind: &CordType| (metres(kind), section(kind));
        let ((la, sa), (lb, sb)) = (key(a), key(b));
        la.total_cmp(&lb)
            .then(sa.total_cmp(&sb))
            .then_with(|| a.name.value.cmp(&b.name.value))
    })
}
