//! What a peer can still take.

use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Pole, Supply};
use crate::model::value::Id;
use crate::quantity::{Current, InUnits, amperes};
use crate::rules::circuits::capacity;
use crate::rules::circuits::limit::Limits;
use crate::rules::circuits::way::Carried;
use crate::survey::Survey;

/// What a peer and everything above it can still take in their worst state; `None` where that is not
/// known. What carries the load already, on the same pole, need not have room for it again.
pub(super) fn room(survey: &Survey<'_>, peer: ElementId, carried: &Carried) -> Option<Current> {
    let graph = survey.graph;
    let mut least: Option<Current> = None;
    let poles: Vec<Pole> = graph.poles(peer).collect();
    let is_same_pole = poles.contains(&carried.pole);
    for hop in graph.upwards(peer) {
        let carries_it = graph.is_below(carried.id, hop);
        if carries_it && is_same_pole {
            break;
        }
        if survey.flows.unknown_below(hop).is_some() {
            return None;
        }
        if let ElementKind::Supply(supply) = graph.kind(hop) {
            if !carries_it {
                least = Some(lesser(least, supply_room(survey, hop, supply)?));
            }
            continue;
        }
        let Some(limits) = Limits::of(survey, hop) else {
            continue;
        };
        let limit = limits
            .lowest()
            .filter(|_| limits.missing.is_none())?
            .current;
        let worst = survey.flows.worst(graph, hop)?.current;
        least = Some(lesser(least, limit - worst));
    }
    least
}

fn lesser(least: Option<Current>, next: Current) -> Current {
    least.filter(|least| *least < next).unwrap_or(next)
}

/// What another supply can still deliver, as a current between its lines: the least that its
/// capacity can mean.
fn supply_room(survey: &Survey<'_>, id: ElementId, supply: Id<Supply>) -> Option<Current> {
    let room = capacity::room(survey, id, supply)?.in_volt_amperes();
    let to_neutral = survey
        .flows
        .voltage_to_neutral(survey.graph, id, Pole::L1)?;
    let between = match survey
        .graph
        .poles(id)
        .filter(|pole| *pole != Pole::N)
        .count()
    {
        0 | 1 => 1.0,
        2 => 2.0,
        _ => 3f64.sqrt(),
    };
    Some(amperes(room / (to_neutral.in_volts() * between)))
}
