//! What the conductors of many cords may carry, worked out once for all that lie alike.

use rustc_hash::FxHashMap;

use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, InUnits};
use crate::survey::Survey;

/// What decides the capacity of a cord: its type, its leg, the air, the company it keeps.
type Alike = (usize, Option<u32>, u64, u32);

/// Capacities seen so far; `None` where one is not known.
#[derive(Default)]
pub(super) struct Ratings(FxHashMap<Alike, Option<Current>>);

impl Ratings {
    /// What the conductors of an element may carry; `None` for elements without conductors of their
    /// own, `Some(None)` where it is not known.
    pub fn of(&mut self, survey: &Survey<'_>, id: ElementId) -> Option<Option<Current>> {
        let (cord, leg) = match survey.graph.kind(id) {
            ElementKind::Cord(cord) => (cord, None),
            ElementKind::Leg(cord, leg) => (cord, Some(leg)),
            _ => return Some(survey.conductor_rating(id)?.current()),
        };
        let kind = survey.graph.links.cord_types[cord.index()]?;
        let air = survey
            .ambient(id)
            .map_or(f64::NAN, |air| air.value.in_degrees_celsius());
        let alike = (kind.index(), leg, air.to_bits(), survey.bundled(cord));
        if let Some(known) = self.0.get(&alike) {
            return Some(*known);
        }
        let rating = survey.conductor_rating(id)?.current();
        self.0.insert(alike, rating);
        Some(rating)
    }
}
