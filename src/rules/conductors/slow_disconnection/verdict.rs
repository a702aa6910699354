//! The verdict on one far end: the earth-fault current there against every device ahead.

use smol_str::SmolStr;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::flow::fault::{FaultLoop, FaultLoops, LoopImpedance, Source};
use crate::flow::protection::at_once;
use crate::graph::ElementId;
use crate::model::circuits::{Earthing, Supply};
use crate::model::sources::{End, State};
use crate::model::value::Named;
use crate::quantity::{Current, InUnits, Quantity, Ratio, Resistance, Time, Voltage, show_rounded};
use crate::tables::words::Words;
use crate::tables::{constants, disconnection};

use super::super::gaps::{Gap, insulation_fact};
use super::super::naming;
use super::super::source_lack::{Asks, landlords_at, source_lack};
use super::goes_down::unless_it_goes_down;
use super::loops::{EarthFault, Which};
use super::missing::{
    conductors_missing, delay_unreadable, earth_voltage_missing, earthing_missing,
    insulation_missing, loop_missing, residual_unreadable, source_missing,
};
use super::overcurrent::by_overcurrent;

/// Whether an earth fault at a far end opens something in time.
pub(super) enum Verdict {
    /// It does.
    Opens,
    /// It does not.
    Slow(Slow),
    /// It does not, and nobody is hurt since its source goes down, as this clause has it.
    GoesDown(Slow, Citation),
    /// A fact is missing; and who suffers from that, where many share the thing that lacks it.
    Open(Box<Gap>, Option<SmolStr>),
}

/// An earth fault that opens nothing in time.
pub(super) struct Slow {
    /// The nearest device.
    pub device: ElementId,
    /// The fault current.
    pub current: Current,
    /// The current at which the device is sure to open in time.
    pub needed: Current,
    /// The loop at which that current flows; none where electronics drive less than that around any loop.
    pub largest_loop: Option<Resistance>,
    /// Which fault it is.
    pub which: Which,
    /// `within 0.4 s`.
    pub wanted: String,
    /// The same as a time; none where the practice fixes none.
    pub time: Option<Time>,
    /// In which mode of the supply, as the end of a clause: ` on the inverter`; nothing where it has none.
    pub phrase: String,
    /// How long the source drives the current, if that has an end.
    pub lasts: Option<Time>,
    /// The most that the casing, and the source, have left while nothing is sure to open.
    pub left: Left,
    /// The arithmetic.
    pub working: Vec<String>,
    /// The limit's source.
    pub basis: Citation,
}

impl Slow {
    /// How much flows of what should.
    pub fn share(&self) -> Ratio {
        self.current / self.needed
    }

    /// How long the current flows, where that is too short for any device.
    pub fn too_short(&self) -> Option<Time> {
        self.lasts.filter(|lasts| *lasts < at_once())
    }
}

/// Voltages while a fault flows that opens nothing.
#[derive(Clone, Copy)]
pub(super) struct Left {
    /// Of the casing to earth.
    pub casing: Voltage,
    /// Of the source.
    pub source: Voltage,
}

/// Source of the minimum voltage factor.
pub(super) fn voltage_factor_basis() -> Option<Citation> {
    constants::minimum_voltage_factor().map(|factor| factor.citation)
}

/// The verdict on an end in one state of its supply.
pub(super) fn of(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    (id, supply, state): (ElementId, &Named<Supply>, State<'_>),
) -> Verdict {
    // Both faults of an insulated system may lie behind the one residual current device, which then sees
    // nothing.
    let residual = match state.earthed() {
        Some(Earthing::It) => Ok(None),
        _ => residual_rating(analysis, id),
    };
    let residual = residual.and_then(|rating| {
        let waits = rating.is_some() && waits_too_long(analysis, id, supply)?;
        Ok(rating.filter(|_| !waits))
    });
    let of = (supply, state);
    match residual {
        Ok(residual) => with_residual(analysis, (fault_loops, of), id, residual),
        // What opens without one opens.
        Err(unreadable) => match with_residual(analysis, (fault_loops, of), id, None) {
            Verdict::Opens => Verdict::Opens,
            _ => open(*unreadable),
        },
    }
}

fn with_residual(
    analysis: &Analysis<'_>,
    (fault_loops, (supply, state)): (&FaultLoops, (&Named<Supply>, State<'_>)),
    id: ElementId,
    residual: Option<Current>,
) -> Verdict {
    let words = analysis.words();
    match (state.earthed(), residual) {
        (None, _) if state.mode.is_none() && !supply.has_modes() => {
            return open(earthing_missing(supply, words));
        }
        (None, _) => return source_open(analysis, id),
        // Its electrode has been looked at.
        (Some(Earthing::Tt), _) => return Verdict::Opens,
        (Some(Earthing::TnS | Earthing::TnCS | Earthing::It), _) => {}
    }
    let behind = |end| Source::behind(analysis.model, analysis.graph, (id, &state), end);
    let source = behind(End::Smallest);
    let earth_fault = source.and_then(|source| EarthFault::of(supply, &state, source));
    // A residual current device needs a fraction of an ampere, which any run of copper lets through.
    let Some(earth_fault) = earth_fault else {
        return match (residual, source) {
            (Some(_), _) => Verdict::Opens,
            (None, None) => source_open(analysis, id),
            (None, Some(source)) => open(earth_voltage_missing(supply, source, words)),
        };
    };
    let way = match fault_loops.hot(id) {
        Ok(way) => way,
        Err(_) if residual.is_some() => return Verdict::Opens,
        Err(at) => {
            let gap = Box::new(match landlords_at(analysis, at) {
                Some((circuit, figures)) => loop_missing(circuit, figures, words),
                None => conductors_missing(analysis, at),
            });
            return Verdict::Open(gap, naming::sharer(analysis, at));
        }
    };
    let Some(factor) = constants::minimum_voltage_factor() else {
        return Verdict::Opens;
    };
    let current = earth_fault.around(way).smallest(factor.value);
    if opens_residual(residual, current) {
        return Verdict::Opens;
    }
    if state.may_give_up() {
        return source_open(analysis, id);
    }
    let most = behind(End::Largest).and_then(|source| EarthFault::of(supply, &state, source));
    let fault = Fault {
        current,
        factor: factor.value,
        fault: earth_fault,
        way,
        state: &state,
        most: most.map(|most| most.around(fault_loops.cold(id)).largest()),
    };
    match by_overcurrent(analysis, id, &fault) {
        Verdict::Slow(slow) => match unless_cool(analysis, fault_loops, (id, &fault), slow) {
            Verdict::Slow(slow) => unless_it_goes_down(analysis, (id, supply), &state, slow),
            verdict => verdict,
        },
        verdict => verdict,
    }
}

/// Something that the supply should say is not known.
fn source_open(analysis: &Analysis<'_>, id: ElementId) -> Verdict {
    match source_lack(analysis, id, Asks::Disconnection) {
        Some(lack) => open(source_missing(lack, analysis.words())),
        None => Verdict::Opens,
    }
}

/// Where nobody knows what the conductors are insulated with they are taken as hot as any: too slow is only
/// what is too slow with cold ones, too.
fn unless_cool(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    (id, hot): (ElementId, &Fault<'_>),
    slow: Slow,
) -> Verdict {
    let mut above = analysis.graph.upwards(id);
    let unknown = above.find_map(|at| {
        let is_run = analysis.conductors_of(at).is_some();
        let fact = insulation_fact(analysis, at).filter(|_| is_run)?;
        Some((at, fact))
    });
    let Some((at, fact)) = unknown else {
        return Verdict::Slow(slow);
    };
    let way = fault_loops.cold(id);
    let cool = Fault {
        current: hot.fault.around(way).smallest(hot.factor),
        way,
        ..*hot
    };
    match by_overcurrent(analysis, id, &cool) {
        Verdict::Opens => {
            let gap = Box::new(insulation_missing(analysis, at, fact));
            Verdict::Open(gap, naming::sharer(analysis, at))
        }
        _ => Verdict::Slow(slow),
    }
}

/// An earth fault at a far end.
#[derive(Clone, Copy)]
pub(super) struct Fault<'a> {
    pub current: Current,
    pub factor: Ratio,
    pub fault: EarthFault,
    pub way: LoopImpedance,
    pub state: &'a State<'a>,
    /// The most that may flow, if that is known.
    pub most: Option<Current>,
}

impl Fault<'_> {
    /// What is left of the voltages by the largest current that need not open a device. How much of a source's
    /// impedance lies in the way back is not known: all of it is counted.
    pub fn left_below(&self, needed: Current) -> Left {
        let current = self.most.filter(|most| *most < needed).unwrap_or(needed);
        Left {
            casing: current * (self.around().source + self.way.earth),
            source: current * (self.way.line + self.way.earth),
        }
    }

    pub fn around(&self) -> FaultLoop {
        self.fault.around(self.way)
    }

    /// The current around it as a line of arithmetic.
    pub fn working(&self, words: &Words) -> String {
        let earth = words.earth;
        let around = self.around();
        if around.limit.is_some_and(|limit| self.current >= limit) {
            return format!(
                "the inverter holds {} around {} line + {} {earth}, hot",
                show_rounded(self.current),
                show_rounded(self.way.line),
                show_rounded(self.way.earth)
            );
        }
        let voltage = match self.fault.which {
            Which::First => around.voltage.show(),
            Which::Second { .. } => format!("{} ÷ 2", (around.voltage * 2.0).show()),
        };
        format!(
            "{:.2} × {voltage} ÷ ({} source + {} line + {} {earth}, hot) = {}",
            self.factor.in_parts_of_one(),
            show_rounded(around.source),
            show_rounded(self.way.line),
            show_rounded(self.way.earth),
            show_rounded(self.current)
        )
    }
}

/// A fact is missing at a supply or a circuit.
fn open(gap: Gap) -> Verdict {
    Verdict::Open(Box::new(gap), None)
}

/// The rating of the residual current device of an element's circuit, if it has one.
///
/// # Errors
/// What is asked where it cannot be read.
pub(super) fn residual_rating(
    analysis: &Analysis<'_>,
    id: ElementId,
) -> Result<Option<Current>, Box<Gap>> {
    let Some(circuit) = analysis.graph.circuit_of(id) else {
        return Ok(None);
    };
    let circuit = &analysis.model.circuits[circuit];
    let rcd = circuit.residual();
    let rcd = rcd.map_err(|at| Box::new(residual_unreadable(circuit, at, analysis.words())))?;
    Ok(rcd.map(|rcd| rcd.value))
}

/// Whether the residual current device of an element waits for others longer than an earth fault may last there.
///
/// # Errors
/// What is asked where that turns on a delay that cannot be read.
pub(super) fn waits_too_long(
    analysis: &Analysis<'_>,
    id: ElementId,
    supply: &Supply,
) -> Result<bool, Box<Gap>> {
    let Some(circuit) = analysis.graph.circuit_of(id) else {
        return Ok(false);
    };
    let circuit = &analysis.model.circuits[circuit];
    let waits = circuit.residual_waits();
    if waits == Ok(false) {
        return Ok(false);
    }
    let is_late = supply
        .states()
        .any(|state| is_late(analysis, id, (supply, &state)));
    match waits {
        Err(at) if is_late => Err(Box::new(delay_unreadable(circuit, at, analysis.words()))),
        _ => Ok(is_late),
    }
}

/// Whether a selective device opens later than the fault may last in this state of the supply.
fn is_late(analysis: &Analysis<'_>, id: ElementId, (supply, state): (&Supply, &State<'_>)) -> bool {
    let earthing = match state.earthed() {
        Some(Earthing::Tt) => disconnection::Earthing::Tt,
        _ => disconnection::Earthing::Tn,
    };
    let source = Source::behind(analysis.model, analysis.graph, (id, state), End::Smallest);
    let fault = source.and_then(|source| EarthFault::of(supply, state, source));
    let opened = constants::selective_residual_time();
    fault.zip(opened).is_some_and(|(fault, opened)| {
        let most = disconnection::max_time(fault.touch, earthing, disconnection::Circuits::Short);
        most.value().is_some_and(|most| *most < opened.value)
    })
}

fn opens_residual(rating: Option<Current>, current: Current) -> bool {
    residual_need(rating).is_some_and(|needed| current >= needed)
}

/// The current that is sure to open a residual current device of this rating.
pub(super) fn residual_need(rating: Option<Current>) -> Option<Current> {
    Some(rating? * constants::residual_multiple()?.value)
}
