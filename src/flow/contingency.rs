//! The loss of every supply, feed, circuit, PDU, bank, cord and leg, and of every line of several, one at a
//! time, and the worst they make.
//!
//! A loss moves the load of the devices below it to their other inlets, or takes them down. It is solved
//! exactly on every circuit that it touches, circuit by circuit; so that the whole survey takes time in
//! proportion to the size of the site, what is proved to make nothing worse than a greater loss does is
//! passed over ([`leeway`]).

use num_complex::Complex64;

use crate::graph::{Dead, ElementId, ElementKind, Graph, Loss, Receiver};

use super::ahead::{Delivered, Input};
use super::branch::{Branch, Solved};
use super::loads::Loads;
use super::network::{NONE, Network};
use super::sweep::State;

mod circuit;
mod felt;
mod great;
mod leeway;
mod parts;
mod small;
mod steps;
mod supplies;
mod transfer;

use felt::Met;

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
        if let ElementKind::Supply(supply) = graph.kind(id)
            && !graph.feeds_supplies(id)
        {
            raise(&mut self.power[supply.index()], state.power(range), lost);
        }
    }
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

/// A circuit that feels losses which would have taken more steps than the budget allows, and so are in no
/// extreme.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unsolved(pub ElementId);

/// Solves a branch by itself while something is dead: what its taps take of their own stands in `powers`, and
/// what transfer switches bring is added there.
pub(super) fn solve_one(
    (graph, network, loads): (&Graph, &Network, &Loads),
    branch: &mut Branch<'_>,
    powers: &mut [Complex64],
    state: &mut State,
    dead: &Dead,
) -> Solved {
    let given = Given {
        graph,
        network,
        loads,
        inputs: &[],
        solves: 0,
    };
    let transfers = transfer::transfers(given, branch, dead, None);
    let settled = transfer::settle(given, branch, (&mut *powers, state), dead, &transfers);
    for (tap, power) in settled.brought {
        powers[tap] = power;
    }
    settled.solved
}

/// What a survey finds besides the extremes.
pub(super) struct Surveyed {
    /// Currents and voltages of the normal state.
    pub normal: State,
    /// What supplies deliver in it.
    pub delivered: Delivered,
    /// What was not solved.
    pub unsolved: Vec<Unsolved>,
}

/// Surveys the normal state and every single loss, as far as `solves` steps for each part go.
pub(super) fn survey(
    graph: &Graph,
    network: &Network,
    (loads, inputs): (&Loads, &[Input]),
    extremes: &mut Extremes,
    solves: u64,
) -> Surveyed {
    let given = Given {
        graph,
        network,
        loads,
        inputs,
        solves,
    };
    let mut unsolved = Vec::new();
    let mut normal = State {
        current: vec![Complex64::ZERO; network.feeder.len()],
        voltage: network.unloaded.clone(),
        harmonic: vec![0.0; network.feeder.len()],
    };
    let heads = great::survey(given, &mut normal, extremes, &mut unsolved);
    let delivered = supplies::survey(given, heads, &mut normal, extremes);
    let head_room = supplies::head_room(given, (&normal, &delivered), extremes);
    let heads = small::survey(given, &normal, extremes, &head_room, &mut unsolved);
    supplies::survey_more(given, heads, (&mut normal, &delivered), extremes);
    extremes.collapses.sort_unstable();
    extremes.collapses.dedup();
    Surveyed {
        normal,
        delivered,
        unsolved,
    }
}

/// What all states have in common.
#[derive(Clone, Copy)]
struct Given<'a> {
    graph: &'a Graph,
    network: &'a Network,
    loads: &'a Loads,
    /// What supplies take, by their ids.
    inputs: &'a [Input],
    /// Steps for each part.
    solves: u64,
}

impl Given<'_> {
    /// How many inlets a loss touches at the most, and so circuits.
    fn touched_by(&self, lost: Loss) -> usize {
        let links = &self.graph.links;
        let below = self.graph.dead_after(lost).within();
        let inlets = below.map(|element| self.network.inlet_of[element as usize]);
        let inlets = inlets.filter(|&inlet| inlet != NONE);
        let others = |inlet: u32| {
            let device = links.inlets[inlet as usize].device;
            links.inlets_of(device).len()
        };
        inlets.map(others).sum()
    }
}

/// How many inlets the devices have that a loss meets.
fn inlets_of(given: Given<'_>, met: &[Met]) -> usize {
    let links = &given.graph.links;
    let devices = met.iter().map(|&(_, device)| links.inlets_of(device));
    devices.map(|inlets| inlets.len()).sum()
}

/// Whether the loss of an element is a case of its own. The only element on its feeder takes down the
/// same devices as the feeder does, unless that feeds a device, or another supply, itself; so does a supply that feeds one other and
/// no more.
fn is_case(graph: &Graph, id: ElementId) -> bool {
    if let ElementKind::Supply(supply) = graph.kind(id)
        && graph.behind(supply).len() == 1
        && graph.below(id).len() == 1
    {
        return false;
    }
    let element = graph.element(id);
    let feeds_none = |id| !matches!(graph.receiver(id), Some(Receiver::Inlet(_)));
    let alone = |feeder| {
        graph.below(feeder).len() == graph.below(id).len() + 1
            && feeds_none(feeder)
            && !graph.feeds_supplies(feeder)
    };
    !element.feeder.is_some_and(alone)
}
