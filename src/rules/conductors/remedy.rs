//! Which conductors would do instead: a cord type of the site's own catalogue, else the next size.

use crate::graph::{ElementId, ElementKind};
use crate::model::cords::CordType;
use crate::model::value::Named;
use crate::quantity::{ConductorSize, Current, InUnits, square_millimetres};
use crate::survey::Survey;

/// Sizes that conductors of cords and circuits are bought in, mm² (IEC 60228).
const METRIC: [f64; 12] = [
    0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0,
];
/// The same in gauges (ASTM B258).
const GAUGES: [i8; 11] = [18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1];

/// What to do so that the conductors of an element carry `current`, in the imperative.
pub(super) fn to_carry(survey: &Survey<'_>, id: ElementId, current: Current) -> String {
    let carries = |size, cordage| {
        let rating = survey.rating_with(id, size, cordage).current();
        rating.is_some_and(|rating| rating >= current)
    };
    let other = catalogue_type(survey, id, |kind| {
        let size = kind.conductor.copied();
        size.is_some_and(|size| carries(size, kind.cordage.copied()))
    });
    if let Some(kind) = other {
        return format!("Use cord type {} of the catalogue here", kind.name.value);
    }
    let own = survey.conductors_of(id);
    let cordage = own.and_then(|own| own.cordage);
    let own_size = own.and_then(|own| own.size);
    match sizes(own_size).find(|size| carries(*size, cordage)) {
        Some(size) if matches!(survey.graph.kind(id), ElementKind::Circuit(_)) => {
            format!("Pull {size} conductors")
        }
        Some(size) => format!("Order a cord with {size} conductors"),
        None => {
            "No size of this cordage carries it here: spread the load over more cords".to_owned()
        }
    }
}

/// The best other type of the catalogue for a plain cord: same couplers, no shorter, good enough; the
/// one nearest in length, then the thinnest, then the first by name.
pub(super) fn catalogue_type<'a>(
    survey: &Survey<'a>,
    id: ElementId,
    is_enough: impl Fn(&CordType) -> bool,
) -> Option<&'a Named<CordType>> {
    let ElementKind::Cord(cord) = survey.graph.kind(id) else {
        return None;
    };
    let own = survey.graph.cord_type(survey.model, cord)?;
    let length = survey.model.cords[cord]
        .length
        .copied()
        .or(own.length.copied())?;
    let fits = |kind: &&Named<CordType>| {
        let same = kind.plug.get()?.name == own.plug.get()?.name
            && kind.connector.get()?.name == own.connector.get()?.name;
        let long_enough = kind.length.copied()? >= length * (1.0 - 1e-9);
        Some(same && long_enough && kind.legs.is_empty() && is_enough(&kind.item))
    };
    let types = survey.model.cord_types.items().iter();
    let fitting = types.filter(|kind| fits(kind) == Some(true));
    fitting.min_by(|a, b| {
        let metres = |kind: &CordType| kind.length.get().map_or(f64::INFINITY, |l| l.in_metres());
        let section = |kind: &CordType| {
            let size = kind.conductor.get();
            size.map_or(f64::INFINITY, |size| size.area().in_square_millimetres())
        };
        let key = |kind: &CordType| (metres(kind), section(kind));
        let ((la, sa), (lb, sb)) = (key(a), key(b));
        la.total_cmp(&lb)
            .then(sa.total_cmp(&sb))
            .then_with(|| a.name.value.cmp(&b.name.value))
    })
}

/// The sizes of the system that a size is of, smallest first.
pub(super) fn sizes(like: Option<ConductorSize>) -> Box<dyn Iterator<Item = ConductorSize>> {
    match like {
        Some(ConductorSize::Awg(_)) => Box::new(GAUGES.into_iter().map(ConductorSize::Awg)),
        _ => Box::new(
            METRIC
                .into_iter()
                .map(|mm2| ConductorSize::Metric(square_millimetres(mm2))),
        ),
    }
}
