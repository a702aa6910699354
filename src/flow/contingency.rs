//! The loss of every supply, circuit, PDU, bank and cord, one at a time, and the worst they make.
//!
//! A loss moves the load of the devices below it to their other inlets, or takes them down. Only
//! what that touches is solved again, so that the whole survey takes time in proportion to the size
//! of the site:
//!
//! - The loss of a supply, circuit or PDU is solved exactly on every circuit that it touches, circuit by
//!   circuit.
//! - The loss of a bank or cord is solved along the paths that lose or take over load; what hangs
//!   beside those paths counts as constant power at the place where it branches off, which is right
//!   to second order in the voltage drop. What is beside the paths draws a little more where they
//!   pull its voltage down: its worst case is at least its normal current at the lowest voltage that
//!   it ever has, an upper bound on that effect.

use std::ops::Range;

use num_complex::Complex64;
use rayon::prelude::*;

use crate::graph::{ElementId, ElementKind, Graph, Loss, Receiver};
use crate::model::devices::Device;
use crate::model::value::Id;

use super::loads::{Loads, Shares};
use super::network::{NONE, Network};
use super::sweep::State;

mod circuits;
mod crowd;
mod loss;
mod screen;
mod slack;
mod supplies;

use crowd::{Crowds, Falls};
use loss::{Found, Memory, Worker};
use slack::Slack;

/// An extreme value and the loss that makes it; `None` for the normal state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// The value, in the unit of the quantity.
    pub value: f64,
    /// What is lost.
    pub lost: Option<Loss>,
}

/// The extremes of every conductor and element over all states surveyed so far.
#[derive(Clone, Debug)]
pub struct Extremes {
    current: Vec<Extreme>,
    /// For two-pole elements volts between the conductors, for others the lowest share of its
    /// unloaded voltage that any line keeps.
    voltage: Vec<Extreme>,
    /// Volt-amperes, by element; kept for supplies only.
    power: Vec<Extreme>,
    /// Circuits whose voltage collapses, ascending, each with what makes it.
    collapses: Vec<(ElementId, Option<Loss>)>,
}

impl Extremes {
    /// No state surveyed yet.
    pub fn new(graph: &Graph) -> Self {
        let nothing = Extreme {
            value: 0.0,
            lost: None,
        };
        let full = Extreme {
            value: f64::INFINITY,
            lost: None,
        };
        Self {
            current: vec![nothing; graph.conductors().len()],
            voltage: vec![full; graph.len()],
            power: vec![nothing; supplies(graph)],
            collapses: Vec::new(),
        }
    }

    /// Largest current of a conductor, in amperes.
    pub fn current(&self, conductor: usize) -> Extreme {
        self.current[conductor]
    }

    /// Lowest voltage of an element.
    pub fn voltage(&self, id: ElementId) -> Extreme {
        self.voltage[id.index()]
    }

    /// Largest apparent power of a supply, in volt-amperes.
    pub fn power(&self, supply: usize) -> Extreme {
        self.power[supply]
    }

    /// What makes the voltage of a circuit collapse, if anything does.
    pub fn collapse(&self, circuit: ElementId) -> Option<Option<Loss>> {
        let first = self.collapses.partition_point(|(at, _)| *at < circuit);
        let (at, lost) = self.collapses.get(first)?;
        (*at == circuit).then_some(*lost)
    }

    /// Takes the values of an element in `state` into account.
    fn take(
        &mut self,
        graph: &Graph,
        network: &Network,
        state: &State,
        id: ElementId,
        lost: Option<Loss>,
    ) {
        let range = graph.conductors_of(id);
        for at in range.clone() {
            raise(&mut self.current[at], state.magnitude(at), lost);
        }
        let own = (
            &network.unloaded[range.clone()],
            &state.voltage[range.clone()],
        );
        if let Some(voltage) = lowest(own.0, own.1) {
            lower(&mut self.voltage[id.index()], voltage, lost);
        }
        if let ElementKind::Supply(supply) = graph.kind(id) {
            raise(&mut self.power[supply.index()], state.power(range), lost);
        }
    }

    /// Nothing draws less in its worst case than normally at the lowest voltage it ever has.
    fn bound(&mut self, graph: &Graph, normal: &State) {
        for (id, element) in graph.elements() {
            let rise = match element.kind {
                ElementKind::Supply(_) | ElementKind::Circuit(_) => None,
                ElementKind::Pdu(_) => highest(
                    graph
                        .children(id)
                        .filter_map(|bank| self.rise(graph, normal, bank, bank)),
                ),
                ElementKind::Bank(..) => self.rise(graph, normal, id, id),
                ElementKind::Cord(_) | ElementKind::Leg(..) => {
                    let above = graph.upwards(id).skip(1);
                    highest(above.filter_map(|above| self.rise(graph, normal, id, above)))
                }
            };
            let Some(Extreme { value, lost }) = rise else {
                continue;
            };
            for at in graph.conductors_of(id) {
                raise(&mut self.current[at], normal.magnitude(at) * value, lost);
            }
        }
    }

    /// By what the current of a two-pole element rises when `above` sits at its lowest voltage.
    fn rise(
        &self,
        graph: &Graph,
        normal: &State,
        id: ElementId,
        above: ElementId,
    ) -> Option<Extreme> {
        let Extreme { value: low, lost } = self.voltage[above.index()];
        let before = voltage_across(graph, normal, id)?;
        let drop = voltage_across(graph, normal, above)? - low;
        (drop > 0.0 && drop < before).then(|| Extreme {
            value: before / (before - drop),
            lost,
        })
    }

    /// Takes in what was found; what pulls crowds down is left to be settled.
    fn add(&mut self, found: Found) -> Falls {
        for (at, worst) in found.current {
            raise(&mut self.current[at], worst.value, worst.lost);
        }
        for (id, worst) in found.voltage {
            lower(&mut self.voltage[id.index()], worst.value, worst.lost);
        }
        for (supply, worst) in found.power {
            raise(&mut self.power[supply.index()], worst.value, worst.lost);
        }
        self.collapses.extend(found.collapses);
        found.falls
    }
}

/// Voltage between the two conductors of a two-pole element, in volts.
fn voltage_across(graph: &Graph, state: &State, id: ElementId) -> Option<f64> {
    let range = graph.conductors_of(id);
    let square = || (state.voltage[range.start] - state.voltage[range.start + 1]).norm_sqr();
    (range.len() == 2).then(|| square().sqrt())
}

fn highest(extremes: impl Iterator<Item = Extreme>) -> Option<Extreme> {
    extremes.max_by(|a, b| a.value.total_cmp(&b.value))
}

/// Of equal values the one with the earlier cause stands, whatever the order they come in.
fn raise(extreme: &mut Extreme, value: f64, lost: Option<Loss>) {
    if value > extreme.value || (value == extreme.value && lost < extreme.lost) {
        *extreme = Extreme { value, lost };
    }
}

fn lower(extreme: &mut Extreme, value: f64, lost: Option<Loss>) {
    if value < extreme.value || (value == extreme.value && lost < extreme.lost) {
        *extreme = Extreme { value, lost };
    }
}

/// Of the unloaded and the actual voltages of an element. Two-pole elements: volts between the conductors.
/// Others: of all pairs of conductors the lowest share of the unloaded voltage between them, since loads
/// hang between conductors, not from line to earth.
fn lowest(unloaded: &[Complex64], voltage: &[Complex64]) -> Option<f64> {
    let square = if let [a, b] = voltage {
        Some((a - b).norm_sqr())
    } else {
        let count = voltage.len();
        let pairs = (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b)));
        let between = |volts: &[Complex64], a: usize, b: usize| (volts[a] - volts[b]).norm_sqr();
        let live = pairs.filter(|&(a, b)| between(unloaded, a, b) > 0.0);
        let kept = live.map(|(a, b)| between(voltage, a, b) / between(unloaded, a, b));
        kept.min_by(f64::total_cmp)
    };
    square.map(f64::sqrt)
}

fn supplies(graph: &Graph) -> usize {
    graph
        .elements()
        .filter(|(_, element)| matches!(element.kind, ElementKind::Supply(_)))
        .count()
}

/// Losses that would have taken more steps than the budget allows, and so are in no extreme.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unsolved {
    /// Some of the supplies, circuits and strips elsewhere whose loss moves load to this circuit.
    LossesFeltBy(ElementId),
    /// This bank or cord, and those after it.
    LossOf(ElementId),
}

/// Surveys the normal state and every single loss, as far as `solves` steps for each part go; returns the
/// normal state, and what was not solved.
pub fn survey(
    graph: &Graph,
    network: &Network,
    loads: &Loads,
    extremes: &mut Extremes,
    solves: u64,
) -> (State, Vec<Unsolved>) {
    let given = Given {
        graph,
        network,
        loads,
        solves,
    };
    let mut unsolved = Vec::new();
    let mut normal = State {
        current: vec![Complex64::ZERO; network.feeder.len()],
        voltage: network.unloaded.clone(),
        harmonic: vec![0.0; network.feeder.len()],
    };
    let heads = circuits::survey(given, &mut normal, extremes, &mut unsolved);
    supplies::survey(given, heads, &mut normal, extremes);
    let case = Case {
        given,
        normal: &normal,
    };
    let small = |is_kind: fn(ElementKind) -> bool| {
        let losses = graph
            .elements()
            .filter(|(_, element)| is_kind(element.kind));
        let losses = losses.filter(|(id, _)| is_case(graph, *id));
        losses.map(|(id, _)| id).collect::<Vec<_>>()
    };
    // What the larger losses make of a place leaves most losses of single cords nothing to add.
    let mut memories = Vec::new();
    let mut banks = small(|kind| matches!(kind, ElementKind::Bank(..)));
    unsolved.extend(given.keep_within_budget(&mut banks));
    case.lose(&banks, None, extremes, &mut memories);
    let mut cords = small(|kind| matches!(kind, ElementKind::Cord(_)));
    unsolved.extend(given.keep_within_budget(&mut cords));
    let slack = Slack::new(&case, extremes);
    case.lose(&cords, Some(&slack), extremes, &mut memories);
    extremes.bound(graph, &normal);
    extremes.collapses.sort_unstable();
    extremes.collapses.dedup();
    (normal, unsolved)
}

/// What all states have in common.
#[derive(Clone, Copy)]
struct Given<'a> {
    graph: &'a Graph,
    network: &'a Network,
    loads: &'a Loads,
    /// Steps for each part.
    solves: u64,
}

/// Steps that the loss of one inlet takes for every other inlet of its device.
const STEPS_OF_INLET: u64 = 64;

impl Given<'_> {
    /// Takes off the losses at the end that touch more inlets than the budget allows; the first of them is
    /// returned. Each loss touches all inlets of the devices that it takes power from.
    fn keep_within_budget(&self, losses: &mut Vec<ElementId>) -> Option<Unsolved> {
        let mut left = self.solves.saturating_mul(self.graph.len() as u64);
        let mut has_room = |&lost: &ElementId| {
            let steps = self.touched_inlets(lost).saturating_mul(STEPS_OF_INLET);
            left = left.saturating_sub(steps);
            left > 0
        };
        let solved = losses.iter().take_while(|lost| has_room(lost)).count();
        let first = losses.get(solved).copied();
        losses.truncate(solved);
        first.map(Unsolved::LossOf)
    }

    fn touched_inlets(&self, lost: ElementId) -> u64 {
        let links = &self.graph.links;
        let below = self.graph.below(lost);
        let inlets = below.map(|element| self.network.inlet_of[element as usize]);
        let inlets = inlets.filter(|&inlet| inlet != NONE);
        let others = |inlet: u32| {
            let device = links.inlets[inlet as usize].device;
            links.inlets_of(device).len() as u64
        };
        inlets.map(others).sum()
    }

    /// Writes to `shares` what the inlets of a device take when all `below` a loss is dead.
    fn share_without(&self, below: &Range<u32>, device: Id<Device>, shares: &mut Shares) {
        self.loads.share_without(self.graph, below, device, shares);
    }
}

/// What small losses are compared with.
#[derive(Clone, Copy)]
struct Case<'a> {
    given: Given<'a>,
    normal: &'a State,
}

impl Case<'_> {
    /// Solves losses in parallel. What each finds does not depend on how the work was split.
    fn lose(
        self,
        losses: &[ElementId],
        slack: Option<&Slack>,
        extremes: &mut Extremes,
        memories: &mut Vec<Memory>,
    ) {
        let crowds = Crowds::new(&self, extremes);
        let known: &Extremes = extremes;
        let share = losses.len().div_ceil(rayon::current_num_threads()).max(1);
        let shares = losses.par_chunks(share);
        if memories.len() < shares.len() {
            memories.resize_with(shares.len(), || Memory::new(&self));
        }
        let found = shares.zip(memories).map(|(losses, memory)| {
            let mut worker = Worker::new(self, known, slack, &crowds, memory);
            losses.iter().for_each(|&lost| worker.lose(lost));
            worker.found
        });
        let mut falls = Falls::default();
        for found in found.collect::<Vec<_>>() {
            crowd::join(&mut falls, extremes.add(found));
        }
        let normal = &self.normal.voltage;
        crowds.settle(&falls, normal, self.given.graph, extremes);
    }
}

/// Whether the loss of an element is a case of its own. The only element on its feeder takes down the
/// same devices as the feeder does, unless that feeds a device itself; and a leg is lost with its cord.
fn is_case(graph: &Graph, id: ElementId) -> bool {
    let element = graph.element(id);
    let feeds_none = |id| !matches!(graph.receiver(id), Some(Receiver::Inlet(_)));
    let alone =
        |feeder| graph.below(feeder).len() == graph.below(id).len() + 1 && feeds_none(feeder);
    !matches!(element.kind, ElementKind::Leg(..)) && !element.feeder.is_some_and(alone)
}

fn is_great(kind: ElementKind) -> bool {
    matches!(
        kind,
        ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Pdu(_)
    )
}

/// The circuit that an element hangs on.
fn circuit_above(graph: &Graph, id: ElementId) -> Option<ElementId> {
    graph
        .upwards(id)
        .find(|&at| matches!(graph.kind(at), ElementKind::Circuit(_)))
}
