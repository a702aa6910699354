//! A receptacle whose wiring is a landlord's: what he says of it stands for the wiring and for all ahead of it.

use crate::graph::{ElementId, Graph};
use crate::model::Model;
use crate::model::circuits::{AtReceptacle, Circuit, Pole};
use crate::model::value::Id;
use crate::quantity::{InUnits, Resistance, Voltage, ohms};

use super::fault::{COPPER_PER_KELVIN, LoopImpedance, Source};

/// What conductors of unknown make may heat up by from cold: to 90 °C, as hot as any.
const RISE_KELVIN: f64 = 70.0;

/// The source as it is seen at a landlord's receptacle, for all that hangs on it; `None` where he does not
/// give the fault current.
pub fn source(model: &Model, graph: &Graph, id: ElementId) -> Option<Source> {
    let circuit = graph.circuit_of(id)?;
    let prospective = *model.circuits[circuit].landlords()?.fault_current.known()?;
    let supply = graph.links.circuit_supplies[circuit.index()]?;
    let source = Source::with(model.supplies[supply].system.known()?, prospective)?;
    Some(match poles(&model.circuits[circuit]) {
        // It was measured between the two.
        (2, false) => Source {
            line: source.between / (prospective * 2.0),
            ..source
        },
        _ => source,
    })
}

/// Whether a landlord gives the fault loop of the receptacle that an element hangs on.
pub(super) fn has_loop(model: &Model, graph: &Graph, id: ElementId) -> bool {
    let circuit = graph.circuit_of(id);
    let figures = circuit.and_then(|circuit| model.circuits[circuit].landlords());
    figures.is_some_and(|figures| figures.earth_loop.known().is_some())
}

/// The way from the source to a landlord's receptacle, with its conductors hot: what the earth loop has beyond
/// the source. Of line and protective conductor the latter is never the thicker, so that half of it is no less
/// than the line.
pub fn way(figures: &AtReceptacle, source: Option<Source>) -> Option<LoopImpedance> {
    let earth_loop = figures.earth_loop.known()?.in_ohms();
    let source = source.map_or(0.0, |source| source.line.in_ohms());
    let hot = (earth_loop - source).max(0.0) * (1.0 + COPPER_PER_KELVIN * RISE_KELVIN);
    let half = ohms(hot / 2.0);
    Some(LoopImpedance {
        line: half,
        earth: half,
    })
}

/// The resistance of each conductor at which the voltage at a landlord's receptacle is what he says, while the
/// contracted current flows.
pub fn resistance(model: &Model, graph: &Graph, circuit: Id<Circuit>) -> Option<Resistance> {
    let own = &model.circuits[circuit];
    let figures = own.landlords()?;
    let (left, current) = (*figures.voltage.known()?, *figures.contracted.known()?);
    let supply = graph.links.circuit_supplies[circuit.index()]?;
    let source = Source::with(model.supplies[supply].system.known()?, current)?;
    let (lines, has_neutral) = poles(own);
    let to_neutral = (lines < 2 || has_neutral).then_some(source.to_midst);
    let between = (lines > 1).then_some(source.between);
    let off = |nominal: Voltage| (nominal - left).in_volts().abs();
    let (nominal, is_between) = match (to_neutral, between) {
        (Some(neutral), Some(between)) if off(between) < off(neutral) => (between, true),
        (Some(neutral), _) => (neutral, false),
        (None, between) => (between?, true),
    };
    let conductors = match (is_between, lines) {
        (true, 3..) => 3f64.sqrt(),
        (false, 2..) => 1.0,
        _ => 2.0,
    };
    let lost = (nominal - left).in_volts().max(0.0);
    Some(ohms(lost / (conductors * current.in_amperes())))
}

/// Its lines, and whether there is a neutral.
fn poles(circuit: &Circuit) -> (usize, bool) {
    let neutrals = circuit.poles.iter().filter(|pole| pole.value == Pole::N);
    let neutrals = neutrals.count();
    (circuit.poles.len() - neutrals, neutrals > 0)
}
