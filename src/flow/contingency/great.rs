//! The normal state and the great losses (of a supply, a feed, a circuit, a strip, or one line of several),
//! circuit by circuit: a supply holds its voltage, so that a loss elsewhere reaches a circuit only by the
//! loads that move to it.

use std::ops::Range;

use num_complex::Complex64;
use rayon::prelude::*;

use crate::flow::branch::{Branch, Solved};
use crate::flow::loads::Shares;
use crate::flow::sweep::State;
use crate::graph::{Dead, ElementId, Loss};

use super::felt::{Felt, Size, met};
use super::parts::{Normal, Part};
use super::steps::{STEPS_OF_INLET, Steps};
use super::supplies::HeadChange;
use super::transfer::Moved;
use super::{Extremes, Given, Unsolved, inlets_of, is_case};

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
    let seen = parts.map(|(part, normal)| Circuit::new(given, part).survey(normal));
    Seen::settle_in(seen.collect(), extremes, unsolved)
}

/// What others need of the states of a circuit.
#[derive(Default)]
pub(super) struct Seen {
    pub heads: Vec<HeadChange>,
    pub collapses: Vec<(ElementId, Option<Loss>)>,
    pub moved: Vec<Moved>,
    pub unsolved: Option<Unsolved>,
}

impl Seen {
    /// Takes what circuits found into account; what the supplies see of it is returned.
    pub fn settle_in(
        all: Vec<Self>,
        extremes: &mut Extremes,
        unsolved: &mut Vec<Unsolved>,
    ) -> Vec<HeadChange> {
        let mut heads = Vec::new();
        for seen in all {
            unsolved.extend(seen.unsolved);
            extremes.collapses.extend(seen.collapses);
            for (lost, behind) in seen.moved {
                behind.settle_in(lost, extremes);
            }
            heads.extend(seen.heads);
        }
        heads
    }
}

struct Circuit<'a> {
    given: Given<'a>,
    part: Part<'a>,
    branch: Branch<'a>,
    /// What each tap takes in the normal state.
    powers: Vec<Complex64>,
    seen: Seen,
}

impl<'a> Circuit<'a> {
    fn new(given: Given<'a>, part: Part<'a>) -> Self {
        let Given {
            graph,
            network,
            loads,
            ..
        } = given;
        let branch = Branch::new(graph, network, loads, part.circuit);
        let taps = branch.taps.iter();
        let powers = taps.map(|tap| loads.normal[tap.inlet as usize]).collect();
        Self {
            given,
            part,
            branch,
            powers,
            seen: Seen::default(),
        }
    }

    fn survey(mut self, own: Normal<'_>) -> Seen {
        let mut normal = self.branch.unloaded();
        let solved = self.branch.solve(&self.powers, &mut normal);
        self.take(&normal, None, &Dead::NOTHING, solved.holds);
        self.normal_heads(&normal, solved.harmonic_to_supply);
        self.losses(&normal, solved);
        own.write(&normal);
        self.seen
    }

    fn take(&mut self, state: &State, lost: Option<Loss>, dead: &Dead, holds: bool) {
        self.part.take(self.given, &self.branch, state, lost, dead);
        if !holds {
            self.seen.collapses.push((self.part.circuit, lost));
        }
    }

    /// What the supply carries for the circuit normally, and what it no longer carries without it.
    fn normal_heads(&mut self, normal: &State, harmonic: f64) {
        let (given, circuit) = (self.given, self.part.circuit);
        let with = HeadChange::of(given, circuit, None, |at| normal.current[at], harmonic);
        self.seen.heads.extend(with);
        let losses = [Loss::Of(circuit)].into_iter();
        let losses = losses.chain(given.graph.lines_of(circuit));
        for lost in losses.filter(|lost| is_case(given.graph, lost.first())) {
            let without = |at: usize| -normal.current[at];
            let heads = HeadChange::of(given, circuit, Some(lost), without, -harmonic);
            self.seen.heads.extend(heads);
        }
    }

    fn losses(&mut self, normal: &State, solved: Solved) {
        let mut steps = Steps::of(self.given, &self.branch);
        let met = met(self.given, &self.branch, Size::Great, &mut steps);
        let (mut state, mut shares) = (normal.clone(), Shares::default());
        let mut powers = self.powers.clone();
        let given = self.given;
        let mut last: Option<(Felt, Range<usize>)> = None;
        for met in met.chunk_by(|a, b| a.0 == b.0) {
            if steps.are_spent() {
                break;
            }
            let felt = Felt::new(self.given, &self.branch, &self.powers, met, &mut shares);
            steps.take(felt.changes.len() + STEPS_OF_INLET * inlets_of(self.given, met));
            if felt.is_nothing() {
                continue;
            }
            // The loss of a supply often is that of one circuit for those that take over: what is
            // alike is solved once, and the earlier of two causes stands.
            if let Some((_, heads)) = last.as_ref().filter(|(last, _)| last.is_like(&felt)) {
                let heads = heads.clone().map(|at| self.seen.heads[at].by(felt.lost));
                let heads: Vec<HeadChange> = heads.collect();
                self.seen.heads.extend(heads);
                continue;
            }
            let settled = felt.solve(given, &mut self.branch, &mut powers, &mut state);
            let after = settled.solved;
            self.seen.moved.push((felt.lost, settled.behind));
            steps.take(after.sweeps * self.branch.conductors.len());
            self.take(&state, Some(felt.lost), &felt.dead, after.holds);
            let first = self.seen.heads.len();
            let harmonic = after.harmonic_to_supply - solved.harmonic_to_supply;
            self.head(felt.lost, normal, &state, harmonic);
            last = Some((felt, first..self.seen.heads.len()));
            state.voltage.copy_from_slice(&normal.voltage);
        }
        let is_unsolved = steps.are_spent();
        let unsolved = Unsolved(self.part.circuit);
        self.seen.unsolved = is_unsolved.then_some(unsolved);
    }

    /// What the supply carries more for the circuit after a loss.
    fn head(&mut self, lost: Loss, normal: &State, state: &State, harmonic: f64) {
        let change = |at: usize| state.current[at] - normal.current[at];
        let heads = HeadChange::of(self.given, self.part.circuit, Some(lost), change, harmonic);
        self.seen.heads.extend(heads);
    }
}
