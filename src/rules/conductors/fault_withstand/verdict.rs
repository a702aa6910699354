//! The verdict on one run: the heat of a short circuit against what its insulation bears.
//!
//! A device that also protects the run against overload is taken to protect it against short circuit
//! too (IEC 60364-4-43 435.1): only what its maker says it lets through is then held against the run.
//! Where the device is larger than that, both ends are looked at: the far end, where the current is
//! small and the device slow, and the near end, where the current is large and the time below 0.1 s, so
//! that only the maker's figure can decide.
//!
//! Under the NEC a cord that 240.5 takes for protected, by its ampacity or within its listing, is not asked:
//! listings are proved by short circuits. Where the listing is not on record, `conductor-unprotected` asks.

use crate::analysis::{Analysis, exceeds};
use crate::flow::fault::{FaultLoops, Source};
use crate::flow::protection::{Device, devices_ahead};
use crate::graph::{ElementId, ElementKind};
use crate::model::sources::{End, State};
use crate::model::value::Field;
use crate::quantity::{Current, EnergyLetThrough, Resistance};
use crate::rules::conductors::allowance::{self, Allowance};
use crate::rules::conductors::naming;
use crate::tables::Practice;
use crate::tables::cordage::Insulation;
use crate::tables::withstand::{self, ConductorRole};

use super::ends::{Far, far_end, near_end};
use super::missing::Missing;
use super::stress::{Outcome, Run};

/// What a short circuit does to the conductors of an element that carry `capacity`. Where that is not
/// known, as for want of the air, the heat alone must answer.
pub(super) fn of(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    id: ElementId,
    capacity: Option<Current>,
) -> Outcome {
    let mut devices = devices_ahead(analysis.model, analysis.graph, id);
    let nearest =
        devices.find_map(|device| Some((device, device.breaker.rating.known().copied()?)));
    let Some((device, rating)) = nearest.filter(|_| analysis.fused_plug_ahead(id).is_none()) else {
        return Outcome::Bears;
    };
    if is_within_its_listing(analysis, id, rating, capacity) {
        return Outcome::Bears;
    }
    let let_through = least_let_through(analysis, id);
    // Whatever cannot be read decides.
    let bears = || match illegible(analysis, id) {
        Some(device) => Outcome::Open(Missing::LetThrough(device)),
        None => Outcome::Bears,
    };
    let is_overload_proof = capacity.is_some_and(|capacity| !exceeds(rating, capacity));
    if is_overload_proof && let_through.is_none() {
        return bears();
    }
    let run = match run(analysis, id, device) {
        Ok(run) => run,
        Err(missing) => return Outcome::Open(missing),
    };
    let most = run.bears().0 * (1.0 + 1e-9);
    let stressed = let_through.filter(|(_, heat)| heat.0 > most);
    match (stressed, is_overload_proof) {
        // A device ahead that lets less through would guard it.
        (Some(_), _) if illegible(analysis, id).is_some() => bears(),
        (Some((device, heat)), _) => {
            let working = vec![format!(
                "let through by {}",
                naming::device(analysis, &device)
            )];
            let run = Run { device, ..run };
            Outcome::Burns(run.stress("let-through", heat, working))
        }
        (None, true) => bears(),
        (None, false) => match both_ends(analysis, fault_loops, &run, let_through.is_some()) {
            Outcome::Bears => Outcome::Bears,
            Outcome::Open(missing @ (Missing::Source(_) | Missing::Way(_))) => {
                Outcome::Open(missing)
            }
            _ if capacity.is_none() => Outcome::Open(Missing::Capacity(id)),
            other => other,
        },
    }
}

/// Whether the NEC takes a cord for protected by the device ahead, or leaves open whether a listing covers it.
fn is_within_its_listing(
    analysis: &Analysis<'_>,
    id: ElementId,
    rating: Current,
    capacity: Option<Current>,
) -> bool {
    let is_cord = matches!(
        analysis.graph.kind(id),
        ElementKind::Cord(_) | ElementKind::Leg(..) | ElementKind::Pdu(_)
    );
    let (Some(Practice::Nec), Some(capacity)) = (analysis.practice(), capacity) else {
        return false;
    };
    is_cord
        && exceeds(rating, capacity)
        && !matches!(
            allowance::of(analysis, Practice::Nec, id, rating, capacity),
            Allowance::Refused { .. }
        )
}

/// A device ahead of which it cannot be read what it lets through.
fn illegible(analysis: &Analysis<'_>, id: ElementId) -> Option<ElementId> {
    let mut devices = devices_ahead(analysis.model, analysis.graph, id);
    let device = devices.find(|ahead| matches!(ahead.breaker.let_through, Field::Unreadable(_)));
    device.map(|device| device.at)
}

/// The device ahead that lets least through by its maker's figure; all of them stand in one line.
fn least_let_through<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
) -> Option<(Device<'a>, EnergyLetThrough)> {
    let devices = devices_ahead(analysis.model, analysis.graph, id);
    let known =
        devices.filter_map(|device| Some((device, device.breaker.let_through.known().copied()?)));
    known.min_by(|(_, a), (_, b)| a.0.total_cmp(&b.0))
}

fn run<'a>(analysis: &Analysis<'a>, id: ElementId, device: Device<'a>) -> Result<Run<'a>, Missing> {
    let size = analysis.conductors_of(id).and_then(|own| own.size);
    let insulation = insulation(analysis, id);
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

fn insulation(analysis: &Analysis<'_>, id: ElementId) -> Option<Insulation> {
    if let ElementKind::Circuit(circuit) = analysis.graph.kind(id) {
        let wiring = analysis.model.circuits[circuit].wiring.known()?;
        return Some(wiring.insulation.known().copied()?.insulation());
    }
    Some(analysis.conductors_of(id)?.jacket.cordage?.insulation)
}

/// Both ends in every state of the supply: what burns in one of them burns.
fn both_ends(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    run: &Run<'_>,
    near_end_is_known: bool,
) -> Outcome {
    let Some(supply) = analysis.graph.supply_of(run.id) else {
        return Outcome::Bears;
    };
    let mut outcome = Outcome::Bears;
    for state in analysis.model.supplies[supply].states() {
        let is_near_end_asked = !near_end_is_known;
        match in_state(analysis, fault_loops, (run, &state), is_near_end_asked) {
            Outcome::Bears => {}
            Outcome::Burns(stress) => return Outcome::Burns(stress),
            Outcome::Open(missing) if matches!(outcome, Outcome::Bears) => {
                outcome = Outcome::Open(missing);
            }
            Outcome::Open(_) => {}
        }
    }
    outcome
}

/// The far end first: what fails there fails whatever the maker says of the near end.
fn in_state(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    (run, state): (&Run<'_>, &State<'_>),
    is_near_end_asked: bool,
) -> Outcome {
    let behind = |end| Source::behind(analysis.model, analysis.graph, (run.id, state), end);
    let Some(source) = behind(End::Smallest) else {
        return Outcome::Open(Missing::Source(run.id));
    };
    let way = match fault_loops.hot(run.id) {
        Ok(way) => way,
        Err(at) => return Outcome::Open(Missing::Way(at)),
    };
    let at_end =
        |source: Source, way: Resistance| source.short_circuit(analysis.graph.poles(run.id), way);
    let largest = behind(End::Largest);
    let cold = fault_loops.cold(run.id).line;
    let at_the_most = largest.map(|source| at_end(source, cold).largest());
    let far = Far {
        state: *state,
        smallest: at_end(source, way.line),
        largest: at_the_most.filter(|_| state.has_two_ends()),
    };
    match (far_end(analysis, run, &far), largest) {
        (Outcome::Burns(_), _) if state.may_give_up() => Outcome::Open(Missing::Source(run.id)),
        (Outcome::Bears, None) => Outcome::Open(Missing::Source(run.id)),
        (Outcome::Bears, Some(_)) if !is_near_end_asked => Outcome::Bears,
        (Outcome::Bears, Some(source)) => match illegible(analysis, run.id) {
            Some(device) => Outcome::Open(Missing::LetThrough(device)),
            None => near_end(analysis, fault_loops, (run, state), source),
        },
        (other, _) => other,
    }
}
