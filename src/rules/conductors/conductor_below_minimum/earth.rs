//! The earth conductor of a circuit, which NEC practice ties to the breaker ahead of it; told in NEC words, for
//! nobody else is told.

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Cited;
use crate::finding::{Fact, Finding, Measure};
use crate::model::circuits::{Circuit, Wiring};
use crate::model::value::{Named, Spanned};
use crate::quantity::{ConductorSize, Quantity};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps};
use crate::rules::conductors::naming;
use crate::tables::earth_conductor;

use super::words::comparison;
use super::{RULE, basis, is_below};

/// Judges what is written of earth conductors; one that is left out is as thick as the lines.
pub(super) fn check(analysis: &Analysis<'_>, gaps: &mut Gaps, findings: &mut Vec<Finding>) {
    for (_, circuit) in analysis.model.circuits.iter() {
        let Some(wiring) = circuit.wiring.known() else {
            let fact = Fact::if_unreadable(circuit, "wiring", &circuit.wiring);
            if fact.is_some() {
                miss(circuit, "its wiring cannot be read", fact, gaps);
            }
            continue;
        };
        match wiring.earth_conductor.written() {
            Ok(None) => {}
            Ok(Some(earth)) => findings.extend(judge(circuit, wiring, earth, gaps)),
            Err(_) => {
                let field = &wiring.earth_conductor;
                let fact = Fact::if_unreadable(circuit, "wiring.earth-conductor", field);
                miss(circuit, "its size cannot be read", fact, gaps);
            }
        }
    }
}

fn judge(
    circuit: &Named<Circuit>,
    wiring: &Wiring,
    earth: &Spanned<ConductorSize>,
    gaps: &mut Gaps,
) -> Option<Finding> {
    let rating = circuit.breaker.known().map(|breaker| &breaker.rating);
    let Some(rated) = rating.and_then(|rating| rating.given()) else {
        let fact = Fact::of(circuit, "breaker.rating", rating);
        miss(
            circuit,
            "the rating of its breaker is not known",
            Some(fact),
            gaps,
        );
        return None;
    };
    let found = earth_conductor::behind(rated.value);
    let Some(least) = found.cited() else {
        miss(circuit, "the table ends before its breaker", None, gaps);
        return None;
    };
    if !is_below(earth.value, least.value) {
        return None;
    }
    let Some(lines) = wiring.conductor.known() else {
        let fact = Fact::of(circuit, "wiring.conductor", Some(&wiring.conductor));
        let why = "it need not be larger than the lines, and their size is not known";
        miss(circuit, why, Some(fact), gaps);
        return None;
    };
    // 250.122(A): it need never be larger than the circuit conductors.
    let is_enough = !is_below(earth.value, *lines);
    (!is_enough).then(|| below(circuit, earth, rated.value.show(), least, *lines))
}

fn below(
    circuit: &Named<Circuit>,
    earth: &Spanned<ConductorSize>,
    rated: String,
    least: &Cited<ConductorSize>,
    lines: ConductorSize,
) -> Finding {
    let name = &circuit.name.value;
    let size = earth.value;
    let needed = if is_below(lines, least.value) {
        lines
    } else {
        least.value
    };
    let headline = format!(
        "the grounding conductor of circuit {name} is too thin and may burn off on a ground fault, with every enclosure on it left live: {size}, where its {rated} breaker asks for {needed}"
    );
    let at = field_or_name(&circuit.breaker, &circuit.name);
    Draft::new(
        &RULE,
        headline,
        earth.span,
        format!("{size}, at least {needed} is needed"),
        least.citation.clone(),
    )
    .level(naming::level(std::slice::from_ref(&least.citation)))
    .above([place(at, format!("breaker of {rated}"))])
    .working([comparison(size, needed)])
    .measured(Measure::below(size, needed))
    .advice(format!(
        "Look at the grounding conductor at the panel. If it is {size}, have one of {needed} or more drawn in; larger still where the lines were made larger for length."
    ))
    .about([name.clone()])
    .kind("earth")
    .finish()
}

fn miss(circuit: &Named<Circuit>, why: &'static str, fact: Option<Fact>, gaps: &mut Gaps) {
    gaps.miss(circuit.name.value.clone(), "earth", |about| Gap {
        headline: format!(
            "is the grounding conductor of circuit {about} thick enough? Open: {why}"
        ),
        about,
        kind: "earth",
        span: fact.as_ref().map_or(circuit.name.span, |fact| fact.span),
        missing: why.to_owned(),
        basis: basis(),
        advice:
            "Read the sizes off the conductors and the rating off the breaker, and write them down."
                .to_owned(),
        wants: fact.into_iter().collect(),
    });
}
