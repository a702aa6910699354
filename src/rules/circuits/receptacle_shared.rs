//! `receptacle-shared`: is there a receptacle for every plug on a circuit?

mod plugs;
mod told;

use crate::analysis::{Analysis, absence};
use crate::finding::Finding;
use crate::model::circuits::Circuit;
use crate::model::value::Named;
use crate::rules::rule;
use crate::tables::words::Words;

use plugs::{Plug, crowded};
use told::{too_many, unsaid};

rule!(
    "receptacle-shared",
    Circuits,
    Error,
    "More plugs on a circuit than it has receptacles: one is elsewhere, or on an adapter, and nobody knows where its load sits."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let circuits = crowded(analysis).into_iter();
    findings.extend(circuits.filter_map(|(id, plugs)| {
        let circuit = &analysis.model.circuits[id];
        judged(circuit, &plugs, analysis.words())
    }));
}

/// A circuit with several plugs. That one is not written to have more than one receptacle makes no
/// error: duplex receptacles are everyday.
fn judged(circuit: &Named<Circuit>, plugs: &[Plug<'_>], words: &Words) -> Option<Finding> {
    let Some(receptacles) = circuit.receptacles.given() else {
        return Some(unsaid(circuit, plugs, absence(&circuit.receptacles), words));
    };
    let is_enough = plugs.len() <= receptacles.value as usize;
    (!is_enough).then(|| too_many(circuit, *receptacles, plugs, words))
}
