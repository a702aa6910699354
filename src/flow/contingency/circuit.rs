//! One circuit in one state after the other.

use std::ops::Range;

use num_complex::Complex64;

use crate::flow::branch::{Branch, Solved};
use crate::flow::loads::Shares;
use crate::flow::sweep::State;
use crate::graph::{Dead, ElementId, Loss};

use super::felt::{Felt, Met};
use super::parts::Part;
use super::steps::{STEPS_OF_INLET, Steps};
use super::supplies::HeadChange;
use super::transfer::Moved;
use super::{Extremes, Given, Unsolved, inlets_of};

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

/// A circuit, with what its states have shown so far.
pub(super) struct Circuit<'a> {
    pub given: Given<'a>,
    pub part: Part<'a>,
    pub branch: Branch<'a>,
    /// What each tap takes in the normal state.
    pub powers: Vec<Complex64>,
    pub seen: Seen,
}

impl<'a> Circuit<'a> {
    pub fn new(given: Given<'a>, part: Part<'a>) -> Self {
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

    /// Takes a state into account.
    pub fn take(&mut self, state: &State, lost: Option<Loss>, dead: &Dead, holds: bool) {
        self.part.take(self.given, &self.branch, state, lost, dead);
        if !holds {
            self.seen.collapses.push((self.part.circuit, lost));
        }
    }

    /// Solves the circuit after the losses that it has met, as far as the steps go. What it then takes of its supply
    /// is kept of those that bear on that.
    pub fn solve(
        &mut self,
        met: &[Met],
        steps: &mut Steps,
        (normal, solved): (&State, Solved),
        bears_on_supply: impl Fn(Loss) -> bool,
    ) {
        let given = self.given;
        let (mut state, mut shares) = (normal.clone(), Shares::default());
        let mut powers = self.powers.clone();
        let mut last: Option<(Felt, Range<usize>)> = None;
        for met in met.chunk_by(|a, b| a.0 == b.0) {
            if steps.are_spent() {
                break;
            }
            let felt = Felt::new(given, &self.branch, &self.powers, met, &mut shares);
            steps.take(felt.changes.len() + STEPS_OF_INLET * inlets_of(given, met));
            if felt.is_nothing() {
                continue;
            }
            let is_kept = bears_on_supply(felt.lost);
            // The loss of a supply often is that of one circuit for those that take over: what is
            // alike is solved once, and the earlier of two causes stands.
            let like = last.as_ref().filter(|(last, _)| {
                last.is_like(&felt) && (!is_kept || bears_on_supply(last.lost))
            });
            if let Some((_, heads)) = like {
                let heads = heads.clone().filter(|_| is_kept);
                let heads = heads.map(|at| self.seen.heads[at].by(felt.lost));
                let heads: Vec<HeadChange> = heads.collect();
                self.seen.heads.extend(heads);
                continue;
            }
            state.voltage.copy_from_slice(&normal.voltage);
            let settled = felt.solve(given, &mut self.branch, &mut powers, &mut state);
            let after = settled.solved;
            self.seen.moved.push((felt.lost, settled.behind));
            steps.take(after.sweeps * self.branch.conductors.len());
            self.take(&state, Some(felt.lost), &felt.dead, after.holds);
            let first = self.seen.heads.len();
            if is_kept {
                let change = |at: usize| state.current[at] - normal.current[at];
                let harmonic = after.harmonic_to_supply - solved.harmonic_to_supply;
                let (circuit, lost) = (self.part.circuit, Some(felt.lost));
                let heads = HeadChange::of(given, circuit, lost, change, harmonic);
                self.seen.heads.extend(heads);
            }
            last = Some((felt, first..self.seen.heads.len()));
        }
        let unsolved = Unsolved(self.part.circuit);
        self.seen.unsolved = steps.are_spent().then_some(unsolved);
    }
}
