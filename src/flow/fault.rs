//! Fault currents: what a short circuit or an earth fault draws at any place of the site.
//!
//! A supply is its nominal voltage behind an impedance, found from the prospective fault current that
//! the definitions give for it; everything below is copper. Neutral and protective conductor meet the
//! star point at the supply. Two answers are wanted, each on its safe side: the *smallest* current
//! (impedances added as if in phase, conductors hot, minimum voltage factor), which must still open a
//! device in time, and the *largest* (the source a pure reactance, conductors cold), which a device
//! must still be able to break.

use crate::graph::{ElementId, ElementKind, Graph};
use crate::model::Model;
use crate::model::circuits::Pole;
use crate::quantity::{
    Arrangement, Current, InUnits, Ratio, Resistance, SystemMarking, Temperature, Voltage,
    degrees_celsius, ohms,
};
use crate::tables::conductors::Side;

use super::impedance::{self, Run};
use super::landlord;

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
}

impl FaultLoop {
    /// Source and conductors together, added as if in phase: never less than the truth.
    pub fn impedance(&self) -> Resistance {
        self.source + self.conductors
    }

    /// The smallest current, at this share of the nominal voltage (IEC 60364-4-41 411.4.4).
    pub fn smallest(&self, voltage_factor: Ratio) -> Current {
        self.voltage * voltage_factor / self.impedance()
    }

    /// The largest current: the source as a pure reactance stands at right angles to the conductors,
    /// and no source can stand less in the way.
    pub fn largest(&self) -> Current {
        self.voltage / ohms(self.source.in_ohms().hypot(self.conductors.in_ohms()))
    }
}

/// A supply as a fault sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Nominal voltage from a line to earth, U0; `None` where the marking of two lines alone does not
    /// tell how they lie to it.
    pub to_earth: Option<Voltage>,
    /// Nominal voltage from a line to the point in the midst of all of them.
    pub(super) to_midst: Voltage,
    /// Nominal voltage between two lines; that to earth where there is one line alone.
    pub between: Voltage,
    /// Impedance of each line.
    pub line: Resistance,
}

impl Source {
    /// A source of these voltages with its prospective fault current, line to neutral point.
    pub fn new(to_earth: Voltage, between: Voltage, prospective: Current) -> Self {
        Self {
            to_earth: Some(to_earth),
            to_midst: to_earth,
            between,
            line: to_earth / prospective,
        }
    }

    /// Two lines without a neutral, of which a short circuit draws the prospective fault current. How they
    /// lie to earth is nothing to it.
    fn of_two_lines(between: Voltage, prospective: Current) -> Self {
        let half = Self::new(between / 2.0, between, prospective);
        Self {
            to_earth: None,
            ..half
        }
    }

    /// The source behind which an element stands: its supply, or the landlord's receptacle that it hangs on;
    /// `None` where its system or its fault current is not known.
    pub fn behind(model: &Model, graph: &Graph, id: ElementId) -> Option<Self> {
        landlord::source(model, graph, id).or_else(|| {
            let supply = &model.supplies[graph.supply_of(id)?];
            Self::with(supply.system.known()?, *supply.fault_current.known()?)
        })
    }

    /// A source of this system with its prospective fault current.
    pub(super) fn with(system: &SystemMarking, prospective: Current) -> Option<Self> {
        let (to_line, neutral) = (system.line_to_line, system.line_to_neutral);
        let (to_earth, between) = match system.arrangement {
            Arrangement::Single if system.lines > 1 => {
                return Some(Self::of_two_lines(to_line?, prospective));
            }
            Arrangement::Single => {
                let voltage = neutral.or(to_line)?;
                (voltage, voltage)
            }
            Arrangement::SplitPhase => {
                let voltage = neutral.or(to_line.map(|volts| volts / 2.0))?;
                (voltage, voltage * 2.0)
            }
            Arrangement::TwoOfWye | Arrangement::Wye | Arrangement::Delta => {
                let voltage = neutral.or(to_line.map(|volts| volts / 3f64.sqrt()))?;
                (voltage, to_line.unwrap_or(voltage * 3f64.sqrt()))
            }
        };
        Some(Self::new(to_earth, between, prospective))
    }

    /// The loop of a fault from a line to a point from which it has this voltage.
    pub fn to_point(&self, voltage: Voltage, line: Resistance, back: Resistance) -> FaultLoop {
        FaultLoop {
            voltage,
            source: self.line,
            conductors: line + back,
        }
    }

    /// The half that one of two circuits has in a second earth fault, where nothing is earthed: from a
    /// line to the other line, or where there is a neutral to that.
    pub fn second_fault(&self, line: Resistance, earth: Resistance, neutral: bool) -> FaultLoop {
        let whole = if neutral { self.to_midst } else { self.between };
        self.to_point(whole / 2.0, line, earth)
    }

    /// The loop of the worst short circuit among these poles, each conductor of resistance `one_way`.
    pub fn short_circuit(
        &self,
        poles: impl Iterator<Item = Pole>,
        one_way: Resistance,
    ) -> FaultLoop {
        let (mut lines, mut has_neutral) = (0, false);
        poles.for_each(|pole| match pole {
            Pole::N => has_neutral = true,
            _ => lines += 1,
        });
        match (lines, has_neutral) {
            (3.., _) => self.to_point(self.to_midst, one_way, ohms(0.0)),
            (2, _) => FaultLoop {
                voltage: self.between,
                source: self.line * 2.0,
                conductors: one_way * 2.0,
            },
            _ => self.to_point(self.to_midst, one_way, one_way),
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
        && let Some(hot) = landlord::way(figures, Source::behind(model, graph, id))
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
    use crate::quantity::{amperes, percent, volts};

    fn loop_of(source: f64, conductors: f64) -> FaultLoop {
        FaultLoop {
            voltage: volts(230.0),
            source: ohms(source),
            conductors: ohms(conductors),
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

    /// Three-phase 400/230 V, 6 kA: line to line is √3/2 of it, line to neutral all of it at the source.
    #[test]
    fn short_circuits_at_the_source_are_those_of_the_textbook() {
        let source = Source::new(volts(230.0), volts(230.0 * 3f64.sqrt()), amperes(6000.0));
        let at = |poles: &[Pole]| {
            let fault = source.short_circuit(poles.iter().copied(), ohms(0.0));
            fault.largest().in_amperes()
        };
        assert!((at(&[Pole::L1, Pole::L2, Pole::L3]) - 6000.0).abs() < 1e-6);
        assert!((at(&[Pole::L1, Pole::L2]) - 6000.0 * 3f64.sqrt() / 2.0).abs() < 1e-6);
        assert!((at(&[Pole::L1, Pole::N]) - 6000.0).abs() < 1e-6);
    }

    /// Two lines of 230 V, 1.5 kA as written: at the source all of it flows, behind 0.2 ohm there and
    /// back 230 V ÷ √(0.153² + 0.2²) ohm.
    #[test]
    fn a_short_between_two_lines_draws_what_is_written() {
        let source = Source::of_two_lines(volts(230.0), amperes(1500.0));
        let at = |one_way| {
            let poles = [Pole::L1, Pole::L2].into_iter();
            source.short_circuit(poles, ohms(one_way)).largest()
        };
        assert!((at(0.0).in_amperes() - 1500.0).abs() < 1e-6);
        assert!((at(0.1).in_amperes() - 912.6).abs() < 0.1);
        assert_eq!(source.to_earth, None);
    }

    /// Two circuits alike, 0.1 ohm line and 0.2 ohm earth each: 230 V around 0.153 + 2 × 0.3 ohm.
    #[test]
    fn half_of_a_second_fault_draws_what_the_whole_of_two_alike_does() {
        let source = Source::of_two_lines(volts(230.0), amperes(1500.0));
        let half = source.second_fault(ohms(0.1), ohms(0.2), false);
        let whole = 230.0 / (230.0 / 1500.0 + 0.6);
        assert!((half.smallest(percent(100.0)).in_amperes() - whole).abs() < 1e-6);
    }
}
