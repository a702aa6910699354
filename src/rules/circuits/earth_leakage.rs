//! `earth-leakage`: is the protective conductor good enough for the current that flows in it?

use crate::citation::Cited;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Circuit;
use crate::model::text::CouplerRef;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Quantity, show_pair};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, exceeds, field_or_name, place};
use crate::tables::couplers::Family;
use crate::tables::{Practice, limits};

use super::earth_currents::{EarthCurrents, Lacking, Sum, bound, bound_line, lacking, working};

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
    let wiring = circuit.wiring.get();
    let earth = wiring.and_then(|wiring| match wiring.earth_conductor.is_absent() {
        true => wiring.conductor.get(),
        false => wiring.earth_conductor.get(),
    });
    circuit.high_integrity_earth.get().is_some_and(|yes| yes.0)
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

fn circuit_above(
    survey: &Survey<'_>,
    id: ElementId,
    circuit: &Named<Circuit>,
    sum: Sum,
    limits: &Limits,
) -> Finding {
    let name = &circuit.name.value;
    let (shown, limit) = show_pair(sum.known, limits.reinforced.value);
    let headline = format!(
        "{shown} flow to earth on circuit {name}: if its protective conductor breaks, whoever touches a device on it gets a shock, and above {limit} the earthing must be reinforced"
    );
    let at = field_or_name(&circuit.high_integrity_earth, &circuit.name);
    let note = match circuit.high_integrity_earth.is_absent() {
        true => "nothing says that its earth is reinforced",
        false => "its earth is not reinforced",
    };
    Draft::new(&RULE, headline, at, note, limits.reinforced.citation.clone())
        .above(survey.hops_above(id))
        .working(working(survey, id, sum))
        .about([name.clone()])
        .kind("circuit")
        .advice("Spread the devices over more circuits, or have the circuit earthed by two separate protective conductors or one of 10 mm² or more and write `high-integrity-earth: yes`.")
        .finish()
}

fn plug_above(
    survey: &Survey<'_>,
    id: ElementId,
    plug: &Spanned<CouplerRef>,
    sum: Sum,
    limits: &Limits,
) -> Finding {
    let (shown, limit) = show_pair(sum.known, limits.noted.value);
    let what = survey.describe(id);
    let headline = format!(
        "{shown} flow to earth through the plug of {what}: if its earth contact fails, whoever touches a device on it gets a shock, and above {limit} an ordinary plug does not do"
    );
    let note = format!("{}: not an industrial plug", plug.value.name);
    let mark = survey.name(id);
    Draft::new(
        &RULE,
        headline,
        plug.span,
        note,
        limits.noted.citation.clone(),
    )
    .above(survey.hops_above(id))
    .below([place(mark.span, what)])
    .working(working(survey, id, sum))
    .working(["editions differ on this step: look into the one that binds".to_owned()])
    .about([survey.full_name(id)])
    .kind("plug")
    .advice(
        "Use a plug to IEC 60309, connect it permanently, or spread the devices over more plugs.",
    )
    .finish()
}

fn not_known(survey: &Survey<'_>, lacking: &Lacking<'_>, limits: &Limits) -> Finding {
    let name = &lacking.name.value;
    let element = lacking.element;
    let limit = match survey.graph.kind(element) {
        ElementKind::Circuit(_) => &limits.reinforced,
        _ => &limits.noted,
    };
    let headline = format!(
        "whether more than {} flow to earth on {} cannot be said: the earth current of model {name} is missing",
        limit.value.show(),
        survey.describe(element)
    );
    Draft::new(&RULE, headline, lacking.at, "earth-current is missing", limit.citation.clone())
        .open()
        .also(bound())
        .above([survey.hop(element)])
        .working(bound_line())
        .about([name.clone()])
        .advice("Give the protective conductor current of each inlet from the maker's data, like `earth-current: 0.75 mA`.")
        .finish()
}
