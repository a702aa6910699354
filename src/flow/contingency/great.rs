//! The normal state and the great losses (of a supply, a feed, a circuit, a strip, or one line of several),
//! circuit by circuit: a supply holds its voltage, so that a loss elsewhere reaches a circuit only by the
//! loads that move to it.

use rayon::prelude::*;

use crate::flow::sweep::State;
use crate::graph::{Dead, Loss};

use super::circuit::{Circuit, Seen};
use super::felt::{Size, met};
use super::parts::{Normal, Part};
use super::steps::Steps;
use super::supplies::HeadChange;
use super::{Extremes, Given, Unsolved, is_case};

/// Solves every circuit in the normal state and in every great loss; the normal currents and voltages
/// are left in `normal`, the worst in `extremes`. Returned is what the supplies see of it.
pub(super) fn survey(
    given: Given<'_>,
    normal: &mut State,
    extremes: &mut Extremes,
    unsolved: &mut Vec<Unsolved>,
) -> Vec<HeadChange> {
    let parts = Part::split(given.graph, extremes);
    let normals = Normal::split(given.graph, normal);
    let parts = parts.into_par_iter().zip(normals);
    let seen = parts.map(|(part, normal)| of_circuit(Circuit::new(given, part), normal));
    Seen::settle_in(seen.collect(), extremes, unsolved)
}

fn of_circuit(mut circuit: Circuit<'_>, own: Normal<'_>) -> Seen {
    let mut normal = circuit.branch.unloaded();
    let solved = circuit.branch.solve(&circuit.powers, &mut normal);
    circuit.take(&normal, None, &Dead::NOTHING, solved.holds);
    heads(&mut circuit, &normal, solved.harmonic_to_supply);
    let mut steps = Steps::of(circuit.given, &circuit.branch);
    let met = met(circuit.given, &circuit.branch, Size::Great, &mut steps);
    circuit.solve(&met, &mut steps, (&normal, solved), |_| true);
    own.write(&normal);
    circuit.seen
}

/// What the supply carries for the circuit normally, and what it no longer carries without it.
fn heads(circuit: &mut Circuit<'_>, normal: &State, harmonic: f64) {
    let (given, id) = (circuit.given, circuit.part.circuit);
    let with = HeadChange::of(given, id, None, |at| normal.current[at], harmonic);
    circuit.seen.heads.extend(with);
    let losses = [Loss::Of(id)].into_iter().chain(given.graph.lines_of(id));
    for lost in losses.filter(|lost| is_case(given.graph, lost.first())) {
        let without = |at: usize| -normal.current[at];
        let heads = HeadChange::of(given, id, Some(lost), without, -harmonic);
        circuit.seen.heads.extend(heads);
    }
}
