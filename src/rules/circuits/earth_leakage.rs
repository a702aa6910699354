//! `earth-leakage`: is the protective conductor good enough for the current that flows in it?

mod item;
mod words;

use crate::analysis::{Analysis, exceeds};
use crate::finding::{Fact, Finding};
use crate::model::circuits::Circuit;
use crate::model::optional::Stated;
use crate::model::value::Named;

use crate::rules::illegible::Illegible;
use crate::rules::rule;
use crate::tables::{Practice, constants};

use super::earth_currents::{EarthCurrents, lacking};

use item::Items;
use words::{circuit_above, not_known};

rule!(
    "earth-leakage",
    Circuits,
    Warning,
    "More earth (ground) current than an ordinary protective conductor is trusted with: if it breaks, every enclosure on it gives a shock."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // The NEC has no such figure (from memory).
    if analysis.practice() == Some(Practice::Nec) {
        return;
    }
    let Some(limit) = constants::earth_current_reinforced() else {
        return;
    };
    let sums = EarthCurrents::new(analysis);
    let mut items = Items::of(analysis);
    let (mut undecided, mut illegible) = (Vec::new(), Illegible::default());
    for (circuit, item) in analysis.model.circuits.iter() {
        let Some(id) = analysis.graph.circuit(circuit) else {
            continue;
        };
        if has_reinforced_earth(&item.item) {
            continue;
        }
        let sum = sums.of(id);
        let unread = unread_earth(item).filter(|_| exceeds(sum.most, limit.value));
        if let Some(fact) = unread {
            let (name, earth) = (&item.name.value, analysis.words().earth);
            let question = || {
                format!(
                    "is the {earth} of circuit {name} reinforced, as its {earth} currents may ask"
                )
            };
            illegible.ask(&RULE, &fact, question);
        } else if exceeds(sum.known, limit.value) {
            findings.push(circuit_above(analysis, id, item, sum, &limit));
            continue;
        }
        if exceeds(sum.most, limit.value) {
            undecided.push(id);
        }
        items.meet(analysis, id);
    }
    let open = lacking(analysis, &undecided);
    findings.extend(
        open.iter()
            .map(|lacking| not_known(analysis, lacking, &limit)),
    );
    findings.extend(items.findings());
    findings.extend(illegible.findings());
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
        || constants::reinforced_earth_conductor()
            .zip(earth)
            .is_some_and(|(thick, earth)| earth.area() >= thick.value.area())
}

/// What would say how good the protective conductor of a circuit is, and cannot be read.
fn unread_earth(circuit: &Named<Circuit>) -> Option<Fact> {
    let unread = |key, field: &dyn Stated| Fact::if_unreadable(circuit, key, field);
    let said = unread("high-integrity-earth", &circuit.high_integrity_earth);
    let wiring = match circuit.wiring.known() {
        Some(wiring) if wiring.earth_conductor.is_absent() => {
            unread("wiring.conductor", &wiring.conductor)
        }
        Some(wiring) => unread("wiring.earth-conductor", &wiring.earth_conductor),
        None => unread("wiring", &circuit.wiring),
    };
    said.or(wiring)
}
