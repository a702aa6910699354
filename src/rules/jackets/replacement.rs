//! What to use instead: a cord type of the site, or a cordage of the tables, that also carries what
//! flows there.

use crate::analysis::{Analysis, Jacket};
use crate::graph::ElementId;
use crate::model::cords::CordType;
use crate::model::value::Field;
use crate::quantity::{ConductorSize, Current, Quantity};
use crate::rules::other_cords::{carries, catalogue_type};
use crate::tables::cordage::{self, Cordage, SizeFit};
use crate::tables::made_sizes;

use super::run::Run;

/// A cord type of the site with the same ends whose cordage will do, or the first cordage of the
/// tables that will, in the smallest size that carries the load.
pub(super) fn replacement(
    analysis: &Analysis<'_>,
    run: &Run<'_>,
    will_do: impl Fn(&Cordage) -> bool,
) -> Option<String> {
    let place = Place::of(analysis, run);
    let now = run.cordage.row();
    let serves = |other: &Cordage| will_do(other) && is_no_step_back(other, now);
    let is_enough = |kind: &CordType| {
        let jacket = Jacket::marked(kind.cordage.row(), &kind.temperature);
        let does_serve = jacket.as_marked().is_some_and(|cordage| serves(&cordage));
        let size = kind.conductor.known().filter(|_| does_serve);
        size.is_some_and(|size| place.carries(*size, jacket) == Some(true))
    };
    if let Some(kind) = place
        .element
        .and_then(|id| catalogue_type(analysis, id, is_enough))
    {
        let length = kind.length.known();
        let length = length.map_or_else(String::new, |length| format!(" ({})", length.show()));
        return Some(format!("cord type {}{length}", kind.name.value));
    }
    let family = now.map(|now| now.family);
    let (own, other): (Vec<_>, Vec<_>) = cordage::all()
        .iter()
        .filter(|other| serves(other))
        .partition(|other| Some(other.family) == family);
    let mut fitting = own.into_iter().chain(other);
    fitting.find_map(|other| place.cord_of(other))
}

/// Whether a cordage is for a voltage no lower than now.
fn is_no_step_back(other: &Cordage, now: Option<&Cordage>) -> bool {
    now.is_none_or(|now| other.voltage.between >= now.voltage.between)
}

/// Whether the sizes that a cordage is made in were read rather than remembered.
fn sizes_are_firm(cordage: &Cordage) -> bool {
    cordage.sizes.citation.confidence.is_firm()
}

/// A place in the power graph, and what another cord would have to carry there.
struct Place<'a> {
    analysis: &'a Analysis<'a>,
    element: Option<ElementId>,
    /// The worst current; `None` if more may flow than is known.
    load: Option<Current>,
    size: Option<ConductorSize>,
}

impl<'a> Place<'a> {
    fn of(analysis: &'a Analysis<'a>, run: &Run<'_>) -> Self {
        let element = run.element(analysis);
        let known = element.filter(|id| !analysis.more_may_flow(*id));
        let worst = known.and_then(|id| analysis.worst_of_any_conductor(id));
        Self {
            analysis,
            element,
            load: worst.map(|worst| worst.current),
            size: run.conductor,
        }
    }

    fn carries(&self, size: ConductorSize, jacket: Jacket<'_>) -> Option<bool> {
        carries(self.analysis, self.element?, size, jacket, self.load?)
    }

    /// A cord of this cordage in the smallest size that is made, is no thinner than now and carries
    /// the load; without a size if that cannot be said, `None` if no size does.
    fn cord_of(&self, cordage: &'static Cordage) -> Option<String> {
        let name = &cordage.name;
        let is_made = |size: &ConductorSize| cordage.size_fit(*size) == SizeFit::Made;
        let no_thinner =
            |size: &ConductorSize| self.size.is_none_or(|own| size.area() >= own.area());
        let own = self.size.into_iter();
        let sizes = own.chain(made_sizes::like(self.size)).filter(is_made);
        let mut is_open = false;
        let fits = sizes.filter(no_thinner).find(|size| {
            let carries = self.carries(*size, Jacket::marked(Some(cordage), &Field::Absent));
            is_open |= carries.is_none();
            carries == Some(true)
        });
        match fits {
            Some(size) => {
                let is_sure = self.size == Some(size) || sizes_are_firm(cordage);
                let ask = if is_sure {
                    ""
                } else {
                    " (ask whether it is made so)"
                };
                Some(format!(
                    "a cord of {name} with {} conductors{ask}",
                    size.show()
                ))
            }
            None if is_open => Some(format!(
                "a cord of {name}, in a size that carries its load,"
            )),
            None => None,
        }
    }
}
