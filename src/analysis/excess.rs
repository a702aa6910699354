//! By how much a supply is loaded beyond its capacity.

use crate::graph::{ElementId, Loss};
use crate::model::circuits::{Pole, Supply};
use crate::model::value::Id;
use crate::quantity::{ApparentPower, InUnits, volt_amperes};

use super::Analysis;

/// What is overloaded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Part {
    /// One line, though the supply as a whole is not.
    Line(Pole),
    /// All lines together.
    Whole,
}

/// More than the capacity, or than a line's part of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Excess {
    /// What is overloaded.
    pub part: Part,
    /// What it delivers.
    pub power: ApparentPower,
    /// What it may deliver.
    pub limit: ApparentPower,
    /// What is lost; `None` in the normal state.
    pub lost: Option<Loss>,
}

pub(crate) fn normal(
    analysis: &Analysis<'_>,
    id: ElementId,
    capacity: ApparentPower,
) -> Option<Excess> {
    let flows = analysis.flows;
    let lines = flows
        .normal_currents(analysis.graph, id)
        .map(|(pole, current)| (pole, current.in_amperes(), None));
    let total = (flows.normal_power(analysis.graph, id), None);
    excess(analysis, id, capacity, total, lines)
}

pub(crate) fn worst(
    analysis: &Analysis<'_>,
    id: ElementId,
    supply: Id<Supply>,
    capacity: ApparentPower,
) -> Option<Excess> {
    let flows = analysis.flows;
    let poles = analysis
        .graph
        .poles(id)
        .filter_map(|pole| flows.worst_on(analysis.graph, id, pole));
    let lines = poles.map(|worst| (worst.pole, worst.current.in_amperes(), worst.lost));
    excess(analysis, id, capacity, flows.worst_power(supply), lines)
}

/// The whole first; a line only where the whole is within the capacity.
fn excess(
    analysis: &Analysis<'_>,
    id: ElementId,
    capacity: ApparentPower,
    (total, lost): (ApparentPower, Option<Loss>),
    lines: impl Iterator<Item = (Pole, f64, Option<Loss>)>,
) -> Option<Excess> {
    if is_above(total, capacity) {
        return Some(Excess {
            part: Part::Whole,
            power: total,
            limit: capacity,
            lost,
        });
    }
    let number = analysis
        .graph
        .poles(id)
        .filter(|pole| *pole != Pole::N)
        .count();
    let limit = volt_amperes(capacity.in_volt_amperes() / number.max(1) as f64);
    let loaded = lines
        .filter(|(pole, ..)| *pole != Pole::N)
        .filter_map(|(pole, amperes, lost)| {
            let volts = analysis
                .flows
                .voltage_to_neutral(analysis.graph, id, pole)?
                .in_volts();
            Some(Excess {
                part: Part::Line(pole),
                power: volt_amperes(volts * amperes),
                limit,
                lost,
            })
        });
    let largest = loaded.reduce(|a, b| if b.power > a.power { b } else { a })?;
    is_above(largest.power, limit).then_some(largest)
}

pub(super) fn is_above(power: ApparentPower, limit: ApparentPower) -> bool {
    power.in_volt_amperes() > limit.in_volt_amperes() * 1.000_001
}
