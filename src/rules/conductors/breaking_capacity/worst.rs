//! The worst that flows at a device, over all modes of its supply, and what may make more of it.

use crate::analysis::Analysis;
use crate::flow::fault::{FaultLoop, FaultLoops, Source};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Earthing;
use crate::model::sources::{End, Mode, Origin, State};
use crate::model::value::Field;
use crate::quantity::{Current, Ratio, percent};
use crate::tables::constants;

/// What a short circuit draws at a device in one mode.
#[derive(Clone, Copy)]
pub(super) struct Flow<'a> {
    pub state: State<'a>,
    pub current: Current,
    /// The loop around which it flows; none at the supply's own terminals.
    pub around: Option<FaultLoop>,
    /// Whether it flows from line to earth.
    pub is_to_earth: bool,
    /// How many times as much may flow.
    factor: Ratio,
}

impl Flow<'_> {
    /// The most that may flow.
    pub fn most(&self) -> Current {
        self.current * self.factor
    }

    pub fn factor(&self) -> Ratio {
        self.factor
    }
}

/// Why more may flow than is written.
#[derive(Clone, Copy)]
pub(super) enum Doubt<'a> {
    /// It was computed at nominal voltage, or measured on one day.
    Factor(Flow<'a>),
    /// It cannot be read whether it was.
    Origin(Flow<'a>),
    /// A generator may drive more to earth than between its lines, and nobody has said how much.
    Earth(Flow<'a>),
}

impl Doubt<'_> {
    /// The most that may flow.
    pub fn most(&self) -> Current {
        match self {
            Self::Factor(flow) | Self::Origin(flow) | Self::Earth(flow) => flow.most(),
        }
    }
}

/// What flows at the worst.
#[derive(Default)]
pub(super) struct Worst<'a> {
    pub flow: Option<Flow<'a>>,
    /// Whether there is a mode of which it is not known.
    pub is_unknown: bool,
    pub doubts: Vec<Doubt<'a>>,
}

impl<'a> Worst<'a> {
    /// At a device.
    pub fn at(analysis: &Analysis<'a>, fault_loops: &FaultLoops, id: ElementId) -> Self {
        let mut worst = Self::default();
        let Some(supply) = analysis.graph.supply_of(id) else {
            worst.is_unknown = true;
            return worst;
        };
        for state in analysis.model.supplies[supply].states() {
            let flow = largest(analysis, fault_loops, (id, state));
            let earth = to_earth(analysis, fault_loops, (id, state));
            worst.is_unknown |= flow.is_none();
            worst
                .doubts
                .extend(flow.and_then(|flow| unsaid_earth(&flow)));
            let is_landlords = state.is_network() && is_landlords(analysis, id);
            for flow in flow.into_iter().chain(earth) {
                worst
                    .doubts
                    .extend(doubtful_voltage(&flow).filter(|_| !is_landlords));
                if worst.flow.is_none_or(|worst| worst.current < flow.current) {
                    worst.flow = Some(flow);
                }
            }
        }
        worst
    }
}

/// Whether a landlord says what flows there, and not the supply.
fn is_landlords(analysis: &Analysis<'_>, id: ElementId) -> bool {
    let (graph, model) = (analysis.graph, analysis.model);
    let circuit = graph
        .circuit_of(id)
        .filter(|_| !matches!(graph.kind(id), ElementKind::Circuit(_)));
    let figures = circuit.and_then(|circuit| model.circuits[circuit].landlords());
    figures.is_some_and(|figures| figures.fault_current.known().is_some())
}

/// The largest fault current just behind a device: of a circuit the supply's own, of a bank that of its
/// two poles at the PDU.
fn largest<'a>(
    analysis: &Analysis<'a>,
    fault_loops: &FaultLoops,
    (id, state): (ElementId, State<'a>),
) -> Option<Flow<'a>> {
    let (graph, model) = (analysis.graph, analysis.model);
    let own = state.current(End::Largest);
    let (current, around) = match graph.kind(id) {
        ElementKind::Circuit(_) => (own?, None),
        _ => {
            let source = Source::behind(model, graph, (id, &state), End::Largest)?;
            let way = fault_loops.cold(graph.element(id).feeder?);
            let around = source.short_circuit(graph.poles(id), way.line);
            (around.largest(), Some(around))
        }
    };
    Some(Flow {
        state,
        current,
        around,
        is_to_earth: false,
        factor: percent(100.0),
    })
}

/// What a fault from line to earth or neutral draws there, where it is said of the supply.
fn to_earth<'a>(
    analysis: &Analysis<'a>,
    fault_loops: &FaultLoops,
    (id, state): (ElementId, State<'a>),
) -> Option<Flow<'a>> {
    let (graph, model) = (analysis.graph, analysis.model);
    let earth = *state.fault_current.known()?.earth.known()?;
    let (current, around) = match graph.kind(id) {
        ElementKind::Circuit(_) => (earth, None),
        _ => {
            let supply = &model.supplies[graph.supply_of(id)?];
            let source = Source::driving(supply.system.known()?, earth, &state)?;
            let way = fault_loops.cold(graph.element(id).feeder?);
            let back = if way.earth < way.line {
                way.earth
            } else {
                way.line
            };
            let around = source.to_point(source.to_earth?, way.line, back);
            (around.largest(), Some(around))
        }
    };
    Some(Flow {
        state,
        current,
        around,
        is_to_earth: true,
        factor: percent(100.0),
    })
}

/// A figure that the voltage may exceed.
fn doubtful_voltage<'a>(flow: &Flow<'a>) -> Option<Doubt<'a>> {
    let factor = constants::maximum_voltage_factor()?.value;
    let more = Flow { factor, ..*flow };
    match flow.state.origin() {
        Ok(Some(Origin::Computed | Origin::Measured)) => Some(Doubt::Factor(more)),
        Ok(Some(Origin::Declared) | None) => None,
        Err(_) => Some(Doubt::Origin(more)),
    }
}

/// A generator whose star point is earthed: from U ÷ X″d to 3 × U ÷ (X″d + X2 + X0), so that less than three times
/// the current between its lines flows to earth, whatever X2 and X0 are.
fn unsaid_earth<'a>(flow: &Flow<'a>) -> Option<Doubt<'a>> {
    let state = flow.state;
    let figures = state.fault_current.known()?;
    let is_solid = state.earthed() != Some(Earthing::It);
    let is_said = matches!(figures.earth, Field::Given(_));
    if state.mode != Some(Mode::Generator) || !is_solid || is_said {
        return None;
    }
    let factor = percent(300.0);
    Some(Doubt::Earth(Flow { factor, ..*flow }))
}
