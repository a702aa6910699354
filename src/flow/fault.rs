//! Fault currents: what a short circuit or an earth fault draws at any place of the site.
//!
//! A supply is its nominal voltage behind an impedance, found from the prospective fault current that
//! the definitions give for it, or electronics that hold a current; everything below is copper. Neutral and protective conductor meet the
//! star point at the supply. Two answers are wanted, each on its safe side: the *smallest* current
//! (impedances added as if in phase, conductors hot, minimum voltage factor), which must still open a
//! device in time, and the *largest* (the source a pure reactance, conductors cold), which a device
//! must still be able to break.

mod source;

use crate::graph::{ElementId, ElementKind, Graph};
use crate::model::Model;
use crate::quantity::{
    Current, InUnits, Ratio, Resistance, Temperature, Voltage, degrees_celsius, ohms,
};
use crate::tables::conductors::Side;

use super::impedance::{self, Run};
use super::landlord;

pub use source::Source;

/// Temperature of conductors that carry nothing yet (IEC 60228 gives resistances for it).
const COLD_CELSIUS: f64 = 20.0;
/// By how much of its resistance at 20 °C copper gains with each kelvin (IEC 60228, from memory, verify).
pub(super) const COPPER_PER_KELVIN: f64 = 0.003_93;

/// A fault loop: the voltage that drives it, and what stands in its way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaultLoop {
    /// Nominal voltage around the loop.
    pub voltage: Voltage,
    /// Impedance of the source.
    pub source: Resistance,
    /// Resistance of all conductors of the loop, there and back.
    pub conductors: Resistance,
    /// What the source drives at the most, whatever stands in the way, where electronics hold it there.
    pub limit: Option<Current>,
}

impl FaultLoop {
    /// Source and conductors together, added as if in phase: never less than the truth.
    pub fn impedance(&self) -> Resistance {
        self.source + self.conductors
    }

    /// The smallest current, at this share of the nominal voltage (IEC 60364-4-41 411.4.4).
    pub fn smallest(&self, voltage_factor: Ratio) -> Current {
        self.limited(self.voltage * voltage_factor / self.impedance())
    }

    /// The largest current: the source as a pure reactance stands at right angles to the conductors,
    /// and no source can stand less in the way.
    pub fn largest(&self) -> Current {
        self.limited(self.voltage / ohms(self.source.in_ohms().hypot(self.conductors.in_ohms())))
    }

    fn limited(&self, current: Current) -> Current {
        match self.limit {
            Some(limit) if current > limit => limit,
            _ => current,
        }
    }
}

/// Resistance of one line conductor and of the protective conductor, from the supply to a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoopImpedance {
    /// One line conductor, one way.
    pub line: Resistance,
    /// The protective conductor, one way.
    pub earth: Resistance,
}

impl LoopImpedance {
    fn zero() -> Self {
        Self {
            line: ohms(0.0),
            earth: ohms(0.0),
        }
    }

    fn of(run: &Run, at: Temperature, side: Side) -> Option<Self> {
        Some(Self {
            line: run.resistance(at, side)?,
            earth: run.earth_resistance(at, side)?,
        })
    }

    /// The same conductors cold, where the definitions give their resistance, which is the hot one.
    fn cooled(self, run: &Run) -> Self {
        let rise = run.hot.in_degrees_celsius() - COLD_CELSIUS;
        let part = |known: Option<Resistance>, own: Resistance| match known {
            Some(hot) => hot / (1.0 + COPPER_PER_KELVIN * rise),
            None => own,
        };
        Self {
            line: part(run.known, self.line),
            earth: part(run.known_earth, self.earth),
        }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            line: self.line + other.line,
            earth: self.earth + other.earth,
        }
    }
}

/// The way from the supply to the far end of every element.
#[derive(Debug)]
pub struct FaultLoops {
    hot: Vec<Result<LoopImpedance, ElementId>>,
    cold: Vec<LoopImpedance>,
    undescribed: Vec<Option<ElementId>>,
}

impl FaultLoops {
    /// Adds up all fault_loops of a site, in time in proportion to its size.
    pub fn new(model: &Model, graph: &Graph) -> Self {
        let mut fault_loops = Self {
            hot: Vec::with_capacity(graph.len()),
            cold: Vec::with_capacity(graph.len()),
            undescribed: Vec::with_capacity(graph.len()),
        };
        // Feeders stand before what they feed.
        for (id, element) in graph.elements() {
            let own = own(model, graph, id);
            let (hot, cold, undescribed) = match element.feeder {
                Some(feeder) => (
                    fault_loops.hot[feeder.index()],
                    fault_loops.cold[feeder.index()],
                    fault_loops.undescribed[feeder.index()],
                ),
                None => (Ok(LoopImpedance::zero()), LoopImpedance::zero(), None),
            };
            let is_undescribed = match element.kind {
                ElementKind::Circuit(circuit) => {
                    own.is_none() && model.circuits[circuit].landlords_alone().is_none()
                }
                _ => own.is_none(),
            };
            fault_loops
                .undescribed
                .push(undescribed.or(is_undescribed.then_some(id)));
            fault_loops.hot.push(match own {
                Some((own, _)) => hot.map(|hot| hot.plus(own)),
                None => hot.and(Err(id)),
            });
            // What is not known is taken as nothing in the way of a fault.
            fault_loops
                .cold
                .push(own.map_or(cold, |(_, own)| cold.plus(own)));
        }
        fault_loops
    }

    /// The way with conductors as hot as they get in use, on the high side of their resistance.
    ///
    /// # Errors
    /// The first element on the way whose conductors are not described well enough.
    pub fn hot(&self, id: ElementId) -> Result<LoopImpedance, ElementId> {
        self.hot[id.index()]
    }

    /// The first element on the way whose conductors are not described well enough, but for wiring that is a
    /// landlord's.
    pub fn undescribed(&self, id: ElementId) -> Option<ElementId> {
        self.undescribed[id.index()]
    }

    /// The way with cold conductors, on the low side of their resistance; zero where nothing is known.
    pub fn cold(&self, id: ElementId) -> LoopImpedance {
        self.cold[id.index()]
    }
}

/// What an element adds to the way, hot and cold; `None` where its conductors are not known.
fn own(model: &Model, graph: &Graph, id: ElementId) -> Option<(LoopImpedance, LoopImpedance)> {
    let kind = graph.kind(id);
    if let ElementKind::Circuit(circuit) = kind
        && let Some(figures) = model.circuits[circuit].landlords()
        && let Some(hot) = landlord::way(figures, Source::before(model, graph, id))
    {
        // The largest current is his, too: nothing of the wiring stands in its way.
        return Some((hot, LoopImpedance::zero()));
    }
    if graph.is_adapter(model, kind) {
        // Cold it may be any less than what is given.
        let each = impedance::of_adapter(model, graph, kind)?;
        let hot = LoopImpedance {
            line: each,
            earth: each,
        };
        return Some((hot, LoopImpedance::zero()));
    }
    let has_none = match kind {
        ElementKind::Supply(_) | ElementKind::Bank(..) => true,
        ElementKind::Pdu(pdu) => graph.is_without_input_cord(model, pdu),
        _ => false,
    };
    if has_none {
        return Some((LoopImpedance::zero(), LoopImpedance::zero()));
    }
    let run = impedance::run(model, graph, kind)?;
    let hot = LoopImpedance::of(&run, run.hot, Side::Highest)?;
    let cold = LoopImpedance::of(&run, degrees_celsius(COLD_CELSIUS), Side::Lowest)?;
    Some((hot, cold.cooled(&run)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{percent, volts};

    fn loop_of(source: f64, conductors: f64) -> FaultLoop {
        FaultLoop {
            voltage: volts(230.0),
            source: ohms(source),
            conductors: ohms(conductors),
            limit: None,
        }
    }

    /// Worked answer of a trade forum: 247 V across 0.38 Ω drive 650 A.
    #[test]
    fn ohms_law_holds_around_the_loop() {
        let loop_ = FaultLoop {
            voltage: volts(247.0),
            ..loop_of(0.1, 0.28)
        };
        assert!((loop_.smallest(percent(100.0)).in_amperes() - 650.0).abs() < 1e-9);
    }

    #[test]
    fn the_largest_current_is_never_below_the_smallest() {
        for (source, conductors) in [(0.04, 0.0), (0.04, 0.04), (0.04, 1.0), (0.5, 0.2)] {
            let fault = loop_of(source, conductors);
            let (least, most) = (fault.smallest(percent(100.0)), fault.largest());
            assert!(most >= least * (1.0 - 1e-12), "{source} {conductors}");
        }
        let bolted = loop_of(0.04, 0.0);
        assert!((bolted.largest().in_amperes() - 5750.0).abs() < 1e-9);
    }
}
