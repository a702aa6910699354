//! The verdict on one run: the heat of a short circuit against what its insulation bears.
//!
//! A device that also protects the run against overload is taken to protect it against short circuit
//! too (IEC 60364-4-43 435.1): only what its maker says it lets through is then held against the run.
//! Where the device is larger than that, both ends are looked at: the far end, where the current is
//! small and the device slow, and the near end, where the current is large and the time below 0.1 s, so
//! that only the maker's figure can decide.

use crate::flow::fault::{Source, Ways};
use crate::flow::protection::{Device, devices_ahead};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::Field;
use crate::quantity::{Current, EnergyLetThrough};
use crate::rules::conductors::naming;
use crate::survey::{Survey, exceeds};
use crate::tables::cordage::Insulation;
use crate::tables::withstand::{self, ConductorRole};

use super::ends::{far_end, near_end};
use super::missing::Missing;
use super::stress::{Outcome, Run};

/// What a short circuit does to the conductors of an element that carry `capacity`. Where that is not
/// known, as for want of the air, the heat alone must answer.
pub(super) fn of(
    survey: &Survey<'_>,
    ways: &Ways,
    id: ElementId,
    capacity: Option<Current>,
) -> Outcome {
    let mut devices = devices_ahead(survey.model, survey.graph, id);
    let nearest =
        devices.find_map(|device| Some((device, device.breaker.rating.known().copied()?)));
    let Some((device, rating)) = nearest.filter(|_| !naming::is_fused(survey, id)) else {
        return Outcome::Bears;
    };
    let let_through = least_let_through(survey, id);
    let bears = || match illegible(survey, id) {
        Some(device) => Outcome::Open(Missing::LetThrough(device)),
        None => Outcome::Bears,
    };
    let is_overload_proof = capacity.is_some_and(|capacity| !exceeds(rating, capacity));
    if is_overload_proof && let_through.is_none() {
        return bears();
    }
    let run = match run(survey, id, device) {
        Ok(run) => run,
        Err(missing) => return Outcome::Open(missing),
    };
    let most = run.bears().0 * (1.0 + 1e-9);
    let stressed = let_through.filter(|(_, heat)| heat.0 > most);
    match (stressed, is_overload_proof) {
        (Some((device, heat)), _) => {
            let working = vec![format!(
                "let through by {}",
                naming::device(survey, &device)
            )];
            let run = Run { device, ..run };
            Outcome::Burns(run.stress("let-through", heat, working))
        }
        (None, true) => bears(),
        (None, false) => match both_ends(survey, ways, &run, let_through.is_some()) {
            Outcome::Bears => Outcome::Bears,
            Outcome::Open(missing @ (Missing::Source(_) | Missing::Way(_))) => {
                Outcome::Open(missing)
            }
            _ if capacity.is_none() => Outcome::Open(Missing::Capacity(id)),
            other => other,
        },
    }
}

/// A device ahead of which it cannot be read what it lets through.
fn illegible(survey: &Survey<'_>, id: ElementId) -> Option<ElementId> {
    let mut devices = devices_ahead(survey.model, survey.graph, id);
    let device = devices.find(|ahead| matches!(ahead.breaker.let_through, Field::Unreadable(_)));
    device.map(|device| device.at)
}

/// The device ahead that lets least through by its maker's figure; all of them stand in one line.
fn least_let_through<'a>(
    survey: &Survey<'a>,
    id: ElementId,
) -> Option<(Device<'a>, EnergyLetThrough)> {
    let devices = devices_ahead(survey.model, survey.graph, id);
    let known =
        devices.filter_map(|device| Some((device, device.breaker.let_through.known().copied()?)));
    known.min_by(|(_, a), (_, b)| a.0.total_cmp(&b.0))
}

fn run<'a>(survey: &Survey<'a>, id: ElementId, device: Device<'a>) -> Result<Run<'a>, Missing> {
    let size = survey.conductors_of(id).and_then(|own| own.size);
    let insulation = insulation(survey, id);
    let (Some(size), Some(insulation)) = (size, insulation) else {
        return Err(Missing::Insulation(id));
    };
    let constant = withstand::k(insulation, ConductorRole::Line);
    let Some(constant) = constant.cited() else {
        return Err(Missing::Insulation(id));
    };
    Ok(Run {
        id,
        device,
        size,
        k: constant.value,
        k_source: constant.citation.clone(),
    })
}

fn insulation(survey: &Survey<'_>, id: ElementId) -> Option<Insulation> {
    if let ElementKind::Circuit(circuit) = survey.graph.kind(id) {
        let wiring = survey.model.circuits[circuit].wiring.known()?;
        return Some(wiring.insulation.known().copied()?.insulation());
    }
    Some(survey.conductors_of(id)?.cordage?.insulation)
}

/// The far end first: what fails there fails whatever the maker says of the near end.
fn both_ends(survey: &Survey<'_>, ways: &Ways, run: &Run<'_>, near_end_is_known: bool) -> Outcome {
    let supply = survey.graph.supply_of(run.id);
    let Some(supply) = supply else {
        return Outcome::Bears;
    };
    let Some(source) = Source::of(&survey.model.supplies[supply]) else {
        return Outcome::Open(Missing::Source(supply));
    };
    let way = match ways.hot(run.id) {
        Ok(way) => way,
        Err(at) => return Outcome::Open(Missing::Way(at)),
    };
    let poles = survey.graph.poles(run.id);
    let far = source.short_circuit(poles, way.line);
    match far_end(survey, run, far) {
        Outcome::Bears if near_end_is_known => Outcome::Bears,
        Outcome::Bears => near_end(survey, ways, run, source),
        other => other,
    }
}
