//! The small losses, of a bank, a cord or a leg: what is not proved to be harmless is solved, circuit by
//! circuit, like the great ones.
//!
//! A supply adds up what its circuits take, and what supplies take that are fed from it. So a loss that may matter to
//! a supply is solved on all circuits behind it that feel it, or on none: first every circuit is looked at, then the rest is solved.

use std::collections::BTreeSet;

use num_complex::Complex64;
use rayon::prelude::*;

use crate::flow::branch::Branch;
use crate::flow::loads::Shares;
use crate::flow::sweep::State;
use crate::graph::{ElementId, Graph, Loss};
use crate::model::circuits::Supply;
use crate::model::value::Id;

use super::circuit::{Circuit, Seen};
use super::felt::{Felt, Met, Size, met};
use super::leeway::Leeway;
use super::parts::{Part, cut_out};
use super::steps::{STEPS_OF_INLET, Steps};
use super::supplies::HeadChange;
use super::{Extremes, Given, Unsolved, inlets_of};

/// Takes every small loss into account; what the supplies see of those that may matter to them is returned.
pub(super) fn survey(
    given: Given<'_>,
    normal: &State,
    extremes: &mut Extremes,
    head_room: &[f64],
    unsolved: &mut Vec<Unsolved>,
) -> Vec<HeadChange> {
    let collapsed: BTreeSet<ElementId> = extremes.collapses.iter().map(|(at, _)| *at).collect();
    let mut parts = Part::split(given.graph, extremes);
    // What has collapsed already has no figures that mean anything.
    parts.retain(|part| !collapsed.contains(&part.circuit));
    let looks = parts.par_iter().map(|part| {
        let supply = given.graph.element(part.circuit).feeder;
        let supply = supply.and_then(|supply| given.graph.supply_of(supply));
        let head = supply.map_or(0.0, |supply| head_room[supply.index()]);
        look(given, part, normal, head)
    });
    let looks: Vec<Look> = looks.collect();
    let critical = looks.iter().flat_map(|look| look.critical.iter().copied());
    let critical: BTreeSet<Critical> = critical.collect();
    let parts = parts.into_par_iter().zip(looks);
    let seen = parts.map(|(part, look)| solve(given, part, normal, look, &critical));
    Seen::settle_in(seen.collect(), extremes, unsolved)
}

/// A loss that may matter to a supply, or to one ahead of it; the first of these.
type Critical = (Id<Supply>, Loss);

/// The first of the supplies that a circuit is fed through.
fn first_source(graph: &Graph, circuit: ElementId) -> Option<Id<Supply>> {
    let own = graph.supply_of(graph.element(circuit).feeder?)?;
    Some(graph.first_source(own))
}

/// What a first look at a circuit leaves open.
struct Look {
    met: Vec<Met>,
    /// Losses that may matter to something on the circuit, ascending.
    open: Vec<Loss>,
    critical: Vec<Critical>,
    steps: Steps,
}

fn look(given: Given<'_>, part: &Part<'_>, normal: &State, head: f64) -> Look {
    let Given { graph, loads, .. } = given;
    let branch = Branch::new(graph, given.network, loads, part.circuit);
    let mut steps = Steps::of(given, &branch);
    let mut look = Look {
        met: met(given, &branch, Size::Small, &mut steps),
        open: Vec::new(),
        critical: Vec::new(),
        steps,
    };
    let taps = branch.taps.iter();
    let powers: Vec<Complex64> = taps.map(|tap| loads.normal[tap.inlet as usize]).collect();
    let state = cut_out(&branch, normal);
    let leeway = Leeway::new(given, &branch, &powers, &state, part.known());
    let mut shares = Shares::default();
    for met in look.met.chunk_by(|a, b| a.0 == b.0) {
        let inlets = inlets_of(given, met);
        look.steps.take(STEPS_OF_INLET * inlets);
        if look.steps.are_spent() {
            break;
        }
        let felt = Felt::new(given, &branch, &powers, met, &mut shares);
        if felt.is_nothing() {
            continue;
        }
        // All circuits that feel the loss have their share of what the supply bears.
        let harm = leeway.harm(&felt, head / given.touched_by(felt.lost) as f64);
        if harm.here {
            look.open.push(felt.lost);
        }
        let critical = harm.above.then(|| first_source(graph, part.circuit));
        let critical = critical.flatten().map(|source| (source, felt.lost));
        look.critical.extend(critical);
    }
    look
}

/// Solves what a look has left open.
fn solve(
    given: Given<'_>,
    part: Part<'_>,
    normal: &State,
    mut look: Look,
    critical: &BTreeSet<Critical>,
) -> Seen {
    let source = first_source(given.graph, part.circuit);
    let is_critical = |lost: Loss| source.is_some_and(|source| critical.contains(&(source, lost)));
    let is_open = |lost: Loss| look.open.binary_search(&lost).is_ok() || is_critical(lost);
    look.met.retain(|(lost, _)| is_open(*lost));
    if look.met.is_empty() {
        let unsolved = Unsolved(part.circuit);
        return Seen {
            unsolved: look.steps.are_spent().then_some(unsolved),
            ..Seen::default()
        };
    }
    let mut circuit = Circuit::new(given, part);
    let mut normal = cut_out(&circuit.branch, normal);
    let solved = circuit.branch.solve(&circuit.powers, &mut normal);
    circuit.solve(&look.met, &mut look.steps, (&normal, solved), is_critical);
    circuit.seen
}
