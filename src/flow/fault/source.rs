//! A supply as a fault sees it: a voltage behind an impedance, or electronics that hold a current.

use crate::graph::{ElementId, Graph};
use crate::model::Model;
use crate::model::circuits::Pole;
use crate::model::sources::{End, State};
use crate::quantity::{Arrangement, Current, Resistance, SystemMarking, Voltage, amperes, ohms};

use super::super::landlord;
use super::FaultLoop;

/// A supply as a fault sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Nominal voltage from a line to earth, U0; `None` where the marking of two lines alone does not
    /// tell how they lie to it.
    pub to_earth: Option<Voltage>,
    /// Nominal voltage from a line to the point in the midst of all of them.
    pub(in crate::flow) to_midst: Voltage,
    /// Nominal voltage between two lines; that to earth where there is one line alone.
    pub between: Voltage,
    /// Impedance of each line.
    pub line: Resistance,
    /// What it drives at the most, where electronics hold the current and not an impedance.
    pub(in crate::flow) limit: Option<Current>,
}

impl Source {
    /// A source of these voltages with its prospective fault current, line to neutral point.
    pub fn new(to_earth: Voltage, between: Voltage, prospective: Current) -> Self {
        Self {
            to_earth: Some(to_earth),
            to_midst: to_earth,
            between,
            line: to_earth / prospective,
            limit: None,
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

    /// The source behind which an element stands in a state of its supply, at an end of what it drives: that, or the
    /// landlord's receptacle that it hangs on; `None` where its system or its fault current is not known.
    pub fn behind(
        model: &Model,
        graph: &Graph,
        (id, state): (ElementId, &State<'_>),
        end: End,
    ) -> Option<Self> {
        let supply = &model.supplies[graph.supply_of(id)?];
        let system = supply.system.known()?;
        let own = state.current(end);
        let own = own.and_then(|current| Self::driving(system, current, state));
        if !state.is_network() {
            return own;
        }
        if let Some(landlords) = landlord::source(model, graph, id) {
            return Some(landlords);
        }
        // The landlord's loop is the whole of it, unless one figure of the supply is in it.
        let is_in_loop = !supply.has_modes() && own.is_some();
        let stands_for_all = end == End::Smallest && !is_in_loop;
        if stands_for_all && landlord::has_loop(model, graph, id) {
            return Self::stiff(system);
        }
        own
    }

    /// What stands before a landlord's receptacle within the loop that he gives.
    pub(in crate::flow) fn before(model: &Model, graph: &Graph, id: ElementId) -> Option<Self> {
        let supply = &model.supplies[graph.supply_of(id)?];
        let state = supply.states().find(|state| state.is_network())?;
        Self::behind(model, graph, (id, &state), End::Smallest)
    }

    /// A source of this system that drives this current at its terminals in a state.
    pub fn driving(system: &SystemMarking, current: Current, state: &State<'_>) -> Option<Self> {
        match state.is_inverter() {
            true => Self::holding(system, current),
            false => Self::with(system, current),
        }
    }

    /// Electronics that drive this current and no more.
    fn holding(system: &SystemMarking, current: Current) -> Option<Self> {
        let limit = Some(current);
        Some(Self {
            limit,
            ..Self::stiff(system)?
        })
    }

    /// A source in which nothing stands in the way.
    fn stiff(system: &SystemMarking) -> Option<Self> {
        let any = Self::with(system, amperes(1.0))?;
        Some(Self {
            line: ohms(0.0),
            ..any
        })
    }

    /// A source of this system with its prospective fault current.
    pub(in crate::flow) fn with(system: &SystemMarking, prospective: Current) -> Option<Self> {
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
            limit: self.limit,
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
                limit: self.limit,
            },
            _ => self.to_point(self.to_midst, one_way, one_way),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{InUnits, percent, volts};

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

    /// 54 A of an inverter are 54 A behind any loop that 0.95 × 230 V drive through: up to 4.05 ohm.
    #[test]
    fn electronics_hold_their_current_until_the_conductors_do() {
        let system = crate::quantity::Quantity::read("1/N/PE ~ 230 V 50 Hz").unwrap();
        let source = Source::holding(&system, amperes(54.0)).unwrap();
        let at = |each: f64| {
            let around = source.to_point(volts(230.0), ohms(each), ohms(each));
            around.smallest(percent(95.0)).in_amperes()
        };
        assert!((at(0.0) - 54.0).abs() < 1e-9);
        assert!((at(2.0) - 54.0).abs() < 1e-9);
        assert!((at(2.5) - 43.7).abs() < 1e-9);
    }
}
