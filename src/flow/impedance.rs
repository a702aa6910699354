//! Resistance of every conductor, hot.

use rayon::prelude::*;

use crate::graph::{ElementId, ElementKind, Graph};
use crate::model::Model;
use crate::model::circuits::Wiring;
use crate::model::flex::Flex;
use crate::model::optional::Optional;
use crate::quantity::{ConductorSize, InUnits, Length, Resistance, Temperature, degrees_celsius};
use crate::tables::conductors::{self, ConductorClass, Side};
use crate::tables::wiring::WiringInsulation;

use super::landlord;

/// Resistance of each conductor of the graph, in ohms; zero where length or size is not known, which
/// the rule on voltage drop reports.
pub fn resistances(model: &Model, graph: &Graph) -> Vec<f64> {
    let elements = (0..graph.len() as u32).into_par_iter().map(ElementId);
    let of_elements = elements.map(|id| {
        let resistance = of_element(model, graph, graph.kind(id));
        resistance.map_or(0.0, |resistance| resistance.in_ohms())
    });
    let of_elements: Vec<f64> = of_elements.collect();
    let mut ohms = vec![0.0; graph.conductors().len()];
    for (id, _) in graph.elements() {
        ohms[graph.conductors_of(id)].fill(of_elements[id.index()]);
    }
    ohms
}

/// Resistance of one conductor of an element at operating temperature, one way; `None` where
/// something is missing for it, and for elements that have none (supplies and banks: zero).
pub fn of_element(model: &Model, graph: &Graph, kind: ElementKind) -> Option<Resistance> {
    if let ElementKind::Circuit(circuit) = kind
        && let Some(resistance) = landlord::resistance(model, graph, circuit)
    {
        return Some(resistance);
    }
    if graph.is_adapter(model, kind) {
        return of_adapter(model, graph, kind);
    }
    let run = run(model, graph, kind)?;
    run.resistance(run.hot, Side::Highest)
}

/// Resistance of an adapter, each way: what the site gives; without a length of cord there is no other. `None`
/// where what it gives cannot be read.
pub fn of_adapter(model: &Model, graph: &Graph, kind: ElementKind) -> Option<Resistance> {
    let ElementKind::Cord(cord) = kind else {
        return Some(Resistance::default());
    };
    let given = known(&graph.cord_type(model, cord)?.resistance)?;
    Some(given.unwrap_or_default())
}

/// A run of conductor: what its resistance hangs on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Line conductor.
    pub conductor: ConductorSize,
    /// Protective conductor.
    pub earth: ConductorSize,
    /// Length, one way.
    pub length: Length,
    /// How the conductor is made.
    pub class: ConductorClass,
    /// Highest temperature of the conductor in use.
    pub hot: Temperature,
    /// Resistance of the line conductor, where the definitions give it.
    pub known: Option<Resistance>,
    /// Resistance of the protective conductor, where the definitions give it.
    pub known_earth: Option<Resistance>,
}

impl Run {
    /// Resistance of the line conductor over the run, on the side the caller needs; where the
    /// definitions give it, that.
    pub fn resistance(&self, at: Temperature, side: Side) -> Option<Resistance> {
        if self.known.is_some() {
            return self.known;
        }
        conductors::bare_resistance_per_metre(self.conductor, self.class, at, side)
            .map(|linear| linear.over(self.length))
    }

    /// Resistance of the protective conductor over the run, likewise.
    pub fn earth_resistance(&self, at: Temperature, side: Side) -> Option<Resistance> {
        if self.known_earth.is_some() {
            return self.known_earth;
        }
        conductors::bare_resistance_per_metre(self.earth, self.class, at, side)
            .map(|linear| linear.over(self.length))
    }
}

/// The run of conductor that an element is; `None` where it has none or something is missing.
pub fn run(model: &Model, graph: &Graph, kind: ElementKind) -> Option<Run> {
    match kind {
        ElementKind::Supply(_) | ElementKind::Bank(..) => None,
        ElementKind::Circuit(circuit) => wiring(model.circuits[circuit].wiring.known()?),
        ElementKind::Pdu(_) | ElementKind::Cord(_) | ElementKind::Leg(..) => {
            flexible(graph.flex(model, kind)?)
        }
    }
}

/// Where the insulation is not known the conductor is taken to run as hot as any: 90 °C. The middle of a ring
/// is reached by both its halves at once, each half as long: as by a quarter of its length.
fn wiring(wiring: &Wiring) -> Option<Run> {
    let conductor = wiring.conductor.known().copied()?;
    let insulation = wiring
        .insulation
        .known()
        .copied()
        .unwrap_or(WiringInsulation::Xlpe90);
    Some(Run {
        conductor,
        earth: wiring.earth_conductor.unless_written(conductor).ok()?,
        length: match wiring.ring.says_yes().ok()? {
            true => wiring.length.known().copied()? / 4.0,
            false => wiring.length.known().copied()?,
        },
        class: ConductorClass::Fixed,
        hot: insulation.conductor_temperature(),
        known: known(&wiring.resistance)?,
        known_earth: known(&wiring.earth_resistance)?,
    })
}

/// A resistance that the definitions give; `Some(None)` where it follows from size and length.
fn known(field: &Optional<Resistance>) -> Option<Option<Resistance>> {
    let written = field.written().ok()?;
    Some(written.map(|given| given.value))
}

/// Where the cordage is not known its conductor is taken to run as hot as any: 90 °C.
fn flexible(flex: Flex<'_>) -> Option<Run> {
    let conductor = flex.conductor.known().copied()?;
    let cordage = flex.cordage.row();
    let hot = cordage.map_or(degrees_celsius(90.0), |cordage| {
        cordage.conductor_temperature
    });
    let known = known(flex.resistance)?;
    Some(Run {
        conductor,
        earth: conductor,
        length: flex.length.known().copied()?,
        class: ConductorClass::Flexible,
        hot,
        known,
        known_earth: known,
    })
}
