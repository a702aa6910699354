//! The normal state and the great losses (of a supply, a circuit or a PDU), solved exactly, circuit by
//! circuit: a supply holds its voltage, so that a loss elsewhere reaches a circuit only by the loads
//! that move to it.

use std::ops::Range;

use num_complex::Complex64;
use rayon::prelude::*;

use crate::flow::branch::{Branch, Solved};
use crate::flow::loads::Shares;
use crate::flow::sweep::State;
use crate::graph::{ElementId, ElementKind, Graph, Loss};
use crate::model::devices::Device;
use crate::model::value::Id;

use super::supplies::HeadChange;
use super::{Extreme, Extremes, Given, Unsolved, is_case, is_great, lower, lowest, raise};

/// Solves every circuit in the normal state and in every great loss; the normal currents and voltages
/// are left in `normal`, the worst in `extremes`. Returned is what the supplies see of it.
pub(super) fn survey(
    given: Given<'_>,
    normal: &mut State,
    extremes: &mut Extremes,
    unsolved: &mut Vec<Unsolved>,
) -> Vec<HeadChange> {
    let parts = Part::split(given.graph, normal, extremes);
    let seen = parts.into_par_iter().map(|part| part.survey(given));
    let seen: Vec<Seen> = seen.collect();
    unsolved.extend(seen.iter().filter_map(|seen| seen.unsolved));
    let collapses = seen.iter().flat_map(|seen| &seen.collapses);
    extremes.collapses.extend(collapses);
    seen.into_iter().flat_map(|seen| seen.heads).collect()
}

/// What others need of the states of a circuit.
#[derive(Default)]
struct Seen {
    heads: Vec<HeadChange>,
    collapses: Vec<(ElementId, Option<Loss>)>,
    unsolved: Option<Unsolved>,
}

/// A circuit's own part of what is computed for the whole site.
struct Part<'a> {
    circuit: ElementId,
    normal_current: &'a mut [Complex64],
    normal_voltage: &'a mut [Complex64],
    normal_harmonic: &'a mut [f64],
    current: &'a mut [Extreme],
    voltage: &'a mut [Extreme],
}

/// A loss as a circuit feels it.
struct Felt {
    lost: Loss,
    /// What each tap takes then.
    powers: Vec<Complex64>,
    /// Elements that the loss takes down on the circuit itself.
    dead: Range<u32>,
}

impl<'a> Part<'a> {
    fn split(graph: &Graph, normal: &'a mut State, extremes: &'a mut Extremes) -> Vec<Self> {
        let mut normal_current = Cutter::new(&mut normal.current);
        let mut normal_voltage = Cutter::new(&mut normal.voltage);
        let mut normal_harmonic = Cutter::new(&mut normal.harmonic);
        let mut current = Cutter::new(&mut extremes.current);
        let mut voltage = Cutter::new(&mut extremes.voltage);
        let elements = graph.elements();
        let circuits =
            elements.filter(|(_, element)| matches!(element.kind, ElementKind::Circuit(_)));
        circuits
            .map(|(circuit, _)| {
                let (elements, conductors) =
                    (graph.below(circuit), graph.conductors_below(circuit));
                Self {
                    circuit,
                    normal_current: normal_current.cut(conductors.clone()),
                    normal_voltage: normal_voltage.cut(conductors.clone()),
                    normal_harmonic: normal_harmonic.cut(conductors.clone()),
                    current: current.cut(conductors),
                    voltage: voltage.cut(elements.start as usize..elements.end as usize),
                }
            })
            .collect()
    }

    fn survey(mut self, given: Given<'_>) -> Seen {
        let Given {
            graph,
            network,
            loads,
            ..
        } = given;
        let branch = Branch::new(graph, network, loads, self.circuit);
        let powers = branch.taps.iter();
        let powers: Vec<Complex64> = powers.map(|tap| loads.normal[tap.inlet as usize]).collect();
        let mut normal = branch.unloaded();
        let solved = branch.solve(&powers, &mut normal);
        self.take(given, &branch, &normal, None, 0..0);
        let mut seen = Seen::default();
        seen.collapses
            .extend((!solved.holds).then_some((self.circuit, None)));
        seen.heads
            .extend(self.normal_heads(given, &normal, solved.harmonic_to_supply));
        self.losses(given, &branch, &powers, (&normal, solved), &mut seen);
        self.normal_current.copy_from_slice(&normal.current);
        self.normal_voltage.copy_from_slice(&normal.voltage);
        self.normal_harmonic.copy_from_slice(&normal.harmonic);
        seen
    }

    /// What the supply carries for the circuit normally, and what it no longer carries without it.
    fn normal_heads<'g>(
        &self,
        given: Given<'g>,
        normal: &'g State,
        harmonic: f64,
    ) -> impl Iterator<Item = HeadChange> + 'g {
        let circuit = self.circuit;
        let with = HeadChange::of(given, circuit, None, |at| normal.current[at], harmonic);
        let lost = is_case(given.graph, circuit).then_some(Loss::Of(circuit));
        let without =
            lost.map(|_| HeadChange::of(given, circuit, lost, |at| -normal.current[at], -harmonic));
        with.chain(without.into_iter().flatten())
    }

    fn losses(
        &mut self,
        given: Given<'_>,
        branch: &Branch<'_>,
        powers: &[Complex64],
        (normal, solved): (&State, Solved),
        seen: &mut Seen,
    ) {
        let mut steps = Steps::of(given, branch);
        let met = met(given, branch, &mut steps);
        let mut state = normal.clone();
        let mut last: Option<(Felt, Range<usize>)> = None;
        for met in met.chunk_by(|a, b| a.0 == b.0) {
            if steps.are_spent() {
                break;
            }
            let loss = Felt::new(given, branch, powers, met);
            steps.take(powers.len() + STEPS_OF_INLET * inlets(given, met));
            if loss.powers == powers {
                continue;
            }
            // The loss of a supply often is that of one circuit for those that take over: what is
            // alike is solved once, and the earlier of two causes stands.
            if let Some((_, heads)) = last.as_ref().filter(|(last, _)| last.is_like(&loss)) {
                let heads = heads.clone().map(|at| seen.heads[at].by(loss.lost));
                seen.heads.extend(heads.collect::<Vec<_>>());
                continue;
            }
            let after = branch.solve(&loss.powers, &mut state);
            steps.take(after.sweeps * branch.conductors.len());
            let lost = Some(loss.lost);
            self.take(given, branch, &state, lost, loss.dead.clone());
            seen.collapses
                .extend((!after.holds).then_some((self.circuit, lost)));
            let harmonic = after.harmonic_to_supply - solved.harmonic_to_supply;
            let first = seen.heads.len();
            let change = |at: usize| state.current[at] - normal.current[at];
            let heads = HeadChange::of(given, self.circuit, lost, change, harmonic);
            seen.heads.extend(heads);
            last = Some((loss, first..seen.heads.len()));
            state.voltage.copy_from_slice(&normal.voltage);
        }
        let is_unsolved = steps.are_spent();
        seen.unsolved = is_unsolved.then_some(Unsolved::LossesFeltBy(self.circuit));
    }

    /// Takes a state into account, but for what is dead in it.
    fn take(
        &mut self,
        given: Given<'_>,
        branch: &Branch<'_>,
        state: &State,
        lost: Option<Loss>,
        dead: Range<u32>,
    ) {
        let (first, elements) = (branch.conductors.start, branch.elements.clone());
        let unloaded = &given.network.unloaded;
        for id in elements.clone().filter(|id| !dead.contains(id)) {
            let range = given.graph.conductors_of(ElementId(id));
            let own = range.start - first..range.end - first;
            for at in own.clone() {
                raise(&mut self.current[at], state.magnitude(at), lost);
            }
            if let Some(voltage) = lowest(&unloaded[range], &state.voltage[own]) {
                let at = (id - elements.start) as usize;
                lower(&mut self.voltage[at], voltage, lost);
            }
        }
    }
}

impl Felt {
    fn new(
        given: Given<'_>,
        branch: &Branch<'_>,
        normal: &[Complex64],
        met: &[(Loss, Id<Device>)],
    ) -> Self {
        let lost = met[0].0;
        let below = given.graph.dead_after(lost);
        let mut powers = normal.to_vec();
        for (tap, power) in branch.taps.iter().zip(&mut powers) {
            if below.contains(&tap.element.0) {
                *power = Complex64::ZERO;
            }
        }
        let mut shares = Shares::default();
        for &(_, device) in met {
            given.share_without(&below, device, &mut shares);
            for &(inlet, power) in &shares {
                let tap = given.network.taps[inlet as usize];
                let at = tap.and_then(|tap| branch.tap_of(tap.element));
                if let Some(at) = at.filter(|&at| !below.contains(&branch.taps[at].element.0)) {
                    powers[at] = power;
                }
            }
        }
        let is_here = branch.elements.contains(&lost.first().0);
        Self {
            lost,
            powers,
            dead: if is_here { below } else { 0..0 },
        }
    }

    fn is_like(&self, other: &Self) -> bool {
        self.dead == other.dead && self.powers == other.powers
    }
}

/// The steps that are left for the losses that a circuit feels.
struct Steps(u64);

/// Steps that every circuit has, however little hangs on it.
const SOME: u64 = 2_000;
/// Steps that looking at an inlet takes, and at what stands above it.
const STEPS_OF_INLET: usize = 8;

impl Steps {
    fn of(given: Given<'_>, branch: &Branch<'_>) -> Self {
        let elements = branch.elements.len() as u64;
        Self(given.solves.saturating_mul(elements).saturating_add(SOME))
    }

    fn take(&mut self, steps: usize) {
        self.0 = self.0.saturating_sub(steps as u64);
    }

    fn are_spent(&self) -> bool {
        self.0 == 0
    }
}

fn inlets(given: Given<'_>, met: &[(Loss, Id<Device>)]) -> usize {
    let links = &given.graph.links;
    let devices = met.iter().map(|&(_, device)| links.inlets_of(device));
    devices.map(|inlets| inlets.len()).sum()
}

/// Great losses that load on a branch feels, ascending, each with the devices that it meets.
fn met(given: Given<'_>, branch: &Branch<'_>, steps: &mut Steps) -> Vec<(Loss, Id<Device>)> {
    let graph = given.graph;
    let links = &graph.links;
    let circuit = branch.elements.start;
    let taps = branch.taps.iter();
    let mut devices: Vec<Id<Device>> = taps
        .map(|tap| links.inlets[tap.inlet as usize].device)
        .collect();
    devices.sort_unstable();
    devices.dedup();
    let mut met = Vec::new();
    for device in devices {
        for (_, inlet) in links.inlets_of(device) {
            steps.take(STEPS_OF_INLET);
            if steps.are_spent() {
                return Vec::new();
            }
            // Load moves from where no poles are known as well.
            let Some(feeding) = graph.feeding(inlet) else {
                continue;
            };
            let above = graph.upwards(feeding);
            let great = above.filter(|&id| is_great(graph.kind(id)) && is_case(graph, id));
            let losses = great.map(Loss::Of).chain(graph.feed_of(feeding));
            let elsewhere = losses.filter(|lost| !graph.dead_after(*lost).contains(&circuit));
            met.extend(elsewhere.map(|lost| (lost, device)));
        }
    }
    met.sort_unstable();
    met.dedup();
    met
}

/// Hands out parts of a slice that follow each other.
struct Cutter<'a, T> {
    rest: &'a mut [T],
    at: usize,
}

impl<'a, T> Cutter<'a, T> {
    fn new(whole: &'a mut [T]) -> Self {
        Self { rest: whole, at: 0 }
    }

    /// The part of this range, which begins no earlier than the one before ended.
    fn cut(&mut self, range: Range<usize>) -> &'a mut [T] {
        let rest = std::mem::take(&mut self.rest);
        let (_, rest) = rest.split_at_mut(range.start - self.at);
        let (part, rest) = rest.split_at_mut(range.len());
        (self.rest, self.at) = (rest, range.end);
        part
    }
}
