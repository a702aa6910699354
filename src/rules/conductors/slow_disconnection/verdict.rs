//! The verdict on one far end: the earth-fault current there against every device ahead.

use smol_str::SmolStr;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::flow::fault::{FaultLoop, FaultLoops, LoopImpedance, Source};
use crate::graph::ElementId;
use crate::model::circuits::{Earthing, Supply};
use crate::model::value::Named;
use crate::quantity::{Current, InUnits, Quantity, Ratio, Resistance, show_rounded};
use crate::tables::words::Words;
use crate::tables::{constants, disconnection};

use super::super::gaps::{Gap, insulation_fact};
use super::super::naming;
use super::super::source_lack::{landlords_at, source_lack};
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
    /// The loop at which that current flows.
    pub largest_loop: Resistance,
    /// Which fault it is.
    pub which: Which,
    /// `within 0.4 s`.
    pub wanted: String,
    /// The arithmetic.
    pub working: Vec<String>,
    /// The limit's source.
    pub basis: Citation,
}

/// Source of the minimum voltage factor.
pub(super) fn voltage_factor_basis() -> Option<Citation> {
    constants::minimum_voltage_factor().map(|factor| factor.citation)
}

pub(super) fn of(analysis: &Analysis<'_>, fault_loops: &FaultLoops, id: ElementId) -> Verdict {
    let Some(supply) = analysis.graph.supply_of(id) else {
        return Verdict::Opens;
    };
    let supply = &analysis.model.supplies[supply];
    // Both faults of an insulated system may lie behind the one residual current device, which then sees
    // nothing.
    let residual = match supply.earthing.known() {
        Some(Earthing::It) => Ok(None),
        _ => residual_rating(analysis, id),
    };
    let residual = residual.and_then(|rating| {
        let waits = rating.is_some() && waits_too_long(analysis, id, supply)?;
        Ok(rating.filter(|_| !waits))
    });
    match residual {
        Ok(residual) => with_residual(analysis, (fault_loops, supply), id, residual),
        // What opens without one opens.
        Err(unreadable) => match with_residual(analysis, (fault_loops, supply), id, None) {
            Verdict::Opens => Verdict::Opens,
            Verdict::Slow(_) | Verdict::Open(..) => open(*unreadable),
        },
    }
}

fn with_residual(
    analysis: &Analysis<'_>,
    (fault_loops, supply): (&FaultLoops, &Named<Supply>),
    id: ElementId,
    residual: Option<Current>,
) -> Verdict {
    let words = analysis.words();
    match (supply.earthing.known().copied(), residual) {
        (None, _) => return open(earthing_missing(supply, words)),
        // Its electrode has been looked at.
        (Some(Earthing::Tt), _) => return Verdict::Opens,
        (Some(Earthing::TnS | Earthing::TnCS | Earthing::It), _) => {}
    }
    let source = Source::behind(analysis.model, analysis.graph, id);
    let earth_fault = source.and_then(|source| EarthFault::of(supply, source));
    // A residual current device needs a fraction of an ampere, which any run of copper lets through.
    let Some(earth_fault) = earth_fault else {
        return match (residual, source) {
            (Some(_), _) => Verdict::Opens,
            (None, None) => match source_lack(analysis, id) {
                Some(lack) => open(source_missing(lack, words)),
                None => Verdict::Opens,
            },
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
    let fault = Fault {
        current,
        factor: factor.value,
        fault: earth_fault,
        way,
    };
    match by_overcurrent(analysis, id, &fault) {
        Verdict::Slow(slow) => unless_cool(analysis, fault_loops, (id, &fault), slow),
        verdict => verdict,
    }
}

/// Where nobody knows what the conductors are insulated with they are taken as hot as any: too slow is only
/// what is too slow with cold ones, too.
fn unless_cool(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    (id, hot): (ElementId, &Fault),
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
pub(super) struct Fault {
    pub current: Current,
    pub factor: Ratio,
    pub fault: EarthFault,
    pub way: LoopImpedance,
}

impl Fault {
    pub fn around(&self) -> FaultLoop {
        self.fault.around(self.way)
    }

    /// The current around it as a line of arithmetic.
    pub fn working(&self, words: &Words) -> String {
        let earth = words.earth;
        let around = self.around();
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
    let earthing = match supply.earthing.known() {
        Some(Earthing::Tt) => disconnection::Earthing::Tt,
        _ => disconnection::Earthing::Tn,
    };
    let source = Source::behind(analysis.model, analysis.graph, id);
    let fault = source.and_then(|source| EarthFault::of(supply, source));
    let Some((fault, opened)) = fault.zip(constants::selective_residual_time()) else {
        return Ok(false);
    };
    let most = disconnection::max_time(fault.touch, earthing, disconnection::Circuits::Short);
    let is_late = most.value().is_some_and(|most| *most < opened.value);
    match waits {
        Err(at) if is_late => Err(Box::new(delay_unreadable(circuit, at, analysis.words()))),
        _ => Ok(is_late),
    }
}

fn opens_residual(rating: Option<Current>, current: Current) -> bool {
    residual_need(rating).is_some_and(|needed| current >= needed)
}

/// The current that is sure to open a residual current device of this rating.
pub(super) fn residual_need(rating: Option<Current>) -> Option<Current> {
    Some(rating? * constants::residual_multiple()?.value)
}
