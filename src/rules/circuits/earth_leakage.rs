//! `earth-leakage`: is the protective conductor good enough for the current that flows in it?

mod words;

use crate::citation::Cited;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Circuit;
use crate::model::text::CouplerRef;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::rules::rule;
use crate::survey::{Survey, exceeds};
use crate::tables::couplers::Family;
use crate::tables::{Practice, limits};

use super::earth_currents::{EarthCurrents, lacking};

use words::{circuit_above, not_known, plug_above};

rule!(
    "earth-leakage",
    Circuits,
    Warning,
    "More earth current than an ordinary protective conductor is trusted with: if it breaks, every enclosure on it gives a shock."
);

/// The two steps of the rule.
struct Limits {
    noted: Cited<Current>,
    reinforced: Cited<Current>,
}

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    // The NEC has no such figure (from memory).
    if survey.practice() == Some(Practice::Nec) {
        return;
    }
    let (Some(noted), Some(reinforced)) = (
        limits::earth_current_noted(),
        limits::earth_current_reinforced(),
    ) else {
        return;
    };
    let limits = Limits { noted, reinforced };
    let sums = EarthCurrents::new(survey);
    let mut undecided = Vec::new();
    for (circuit, item) in survey.model.circuits.iter() {
        let Some(id) = survey.graph.circuit(circuit) else {
            continue;
        };
        if has_reinforced_earth(&item.item) {
            continue;
        }
        let sum = sums.of(id);
        if exceeds(sum.known, limits.reinforced.value) {
            findings.push(circuit_above(survey, id, item, sum, &limits));
            continue;
        }
        if exceeds(sum.most, limits.reinforced.value) {
            undecided.push(id);
        }
        plugs(survey, id, &sums, &limits, &mut undecided, findings);
    }
    let open = lacking(survey, &undecided);
    findings.extend(
        open.iter()
            .map(|lacking| not_known(survey, lacking, &limits)),
    );
}

/// Whether the circuit is said to have the earthing that is asked for, or its protective conductor is
/// thick enough by itself.
fn has_reinforced_earth(circuit: &Circuit) -> bool {
    let wiring = circuit.wiring.known();
    let earth = wiring.and_then(|wiring| match wiring.earth_conductor.is_absent() {
        true => wiring.conductor.known(),
        false => {
            let earth = wiring.earth_conductor.written().ok().flatten();
            earth.map(|earth| &earth.value)
        }
    });
    circuit
        .high_integrity_earth
        .known()
        .is_some_and(|yes| yes.0)
        || limits::reinforced_earth_conductor()
            .zip(earth)
            .is_some_and(|(thick, earth)| earth.area() >= thick.value.area())
}

/// What is plugged straight into a circuit, by plugs that are not industrial ones.
fn plugs(
    survey: &Survey<'_>,
    circuit: ElementId,
    sums: &EarthCurrents,
    limits: &Limits,
    undecided: &mut Vec<ElementId>,
    findings: &mut Vec<Finding>,
) {
    for id in survey.graph.children(circuit) {
        let Some(plug) = plug_of(survey, id) else {
            continue;
        };
        let sum = sums.of(id);
        if plug.value.family == Family::Iec60309 || !exceeds(sum.most, limits.noted.value) {
            continue;
        }
        if exceeds(sum.known, limits.noted.value) {
            findings.push(plug_above(survey, id, plug, sum, limits));
        } else {
            undecided.push(id);
        }
    }
}

fn plug_of<'a>(survey: &Survey<'a>, id: ElementId) -> Option<&'a Spanned<CouplerRef>> {
    match survey.graph.kind(id) {
        ElementKind::Pdu(pdu) => survey.graph.pdu_model(survey.model, pdu)?.plug.given(),
        ElementKind::Cord(cord) => survey.graph.cord_type(survey.model, cord)?.plug.given(),
        _ => None,
    }
}
