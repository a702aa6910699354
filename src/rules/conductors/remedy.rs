//! Which conductors would do instead: a cord type of the site's own catalogue, else the next size.

use crate::analysis::{Analysis, Jacket};
use crate::graph::{ElementId, ElementKind};
use crate::quantity::Current;
use crate::rules::other_cords::{carries, catalogue_type};
use crate::tables::made_sizes;

/// What to do so that the conductors of an element carry `current`, in the imperative.
pub(super) fn to_carry(analysis: &Analysis<'_>, id: ElementId, current: Current) -> String {
    let carries =
        |size, jacket: Jacket<'_>| carries(analysis, id, size, jacket, current) == Some(true);
    let other = catalogue_type(analysis, id, |kind| {
        let size = kind.conductor.known().copied();
        size.is_some_and(|size| {
            carries(size, Jacket::marked(kind.cordage.row(), &kind.temperature))
        })
    });
    if let Some(kind) = other {
        return format!("Use cord type {} of the catalogue here", kind.name.value);
    }
    let own = analysis.conductors_of(id);
    let jacket = own.map_or(Jacket::NONE, |own| own.jacket);
    let own_size = own.and_then(|own| own.size);
    match made_sizes::like(own_size).find(|size| carries(*size, jacket)) {
        Some(size) if matches!(analysis.graph.kind(id), ElementKind::Circuit(_)) => {
            format!("Pull {size} conductors")
        }
        Some(size) => format!("Order a cord with {size} conductors"),
        None => {
            "No size of this cordage carries it here: spread the load over more cords".to_owned()
        }
    }
}
