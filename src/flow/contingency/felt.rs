//! What a circuit feels of a loss: loads on it that die, and loads that move to it, between its taps or off
//! it.

use num_complex::Complex64;

use crate::flow::branch::Branch;
use crate::flow::loads::Shares;
use crate::flow::sweep::State;
use crate::graph::{Dead, ElementId, ElementKind, Graph, Loss};
use crate::model::devices::Device;
use crate::model::value::Id;

use super::steps::{STEPS_OF_INLET, Steps};
use super::transfer::{Settled, Transfer, settle, transfers};
use super::{Given, is_case};

/// A loss as a circuit feels it.
pub(super) struct Felt {
    /// What is lost.
    pub lost: Loss,
    /// What is dead, as far as it stands on the circuit or bears on what is brought to it.
    pub dead: Dead,
    /// The taps whose load changes, ascending, each with what it takes then.
    pub changes: Vec<(usize, Complex64)>,
    /// Switches that bring load to the circuit.
    pub transfers: Vec<Transfer>,
}

/// A loss with a device on the circuit that loses an inlet by it.
pub(super) type Met = (Loss, Id<Device>);

/// Which losses are looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Size {
    /// Of supplies, feeds, circuits, strips and single lines.
    Great,
    /// Of banks, cords and legs.
    Small,
}

impl Felt {
    /// What the loss of one chunk of [`met`] does to a circuit whose taps take `normal`.
    pub fn new(
        given: Given<'_>,
        branch: &Branch<'_>,
        normal: &[Complex64],
        met: &[Met],
        shares: &mut Shares,
    ) -> Self {
        let graph = given.graph;
        let lost = met[0].0;
        let dead = graph.dead_after(lost);
        // A source takes whole supplies out, and this circuit's is not among them.
        let is_ahead = match lost {
            Loss::Of(id) => graph.feeds_supplies(id),
            Loss::Feed(_) => true,
            Loss::Line(..) | Loss::Turned(_) | Loss::Switch(_) => false,
        };
        let within = if is_ahead { 0..0 } else { dead.within() };
        let mut changes: Vec<(usize, Complex64)> = branch
            .taps_within(within.clone())
            .filter(|&at| dead.cuts_off(graph, branch.taps[at].element))
            .map(|at| (at, Complex64::ZERO))
            .collect();
        for &(_, device) in met {
            given.loads.share_without(graph, &dead, device, shares);
            for &(inlet, power) in shares.iter() {
                let tap = given.network.taps[inlet as usize];
                let at = tap.and_then(|tap| branch.tap_of(tap.element));
                let alive = at.filter(|&at| !dead.cuts_off(graph, branch.taps[at].element));
                changes.extend(alive.map(|at| (at, power)));
            }
        }
        changes.retain(|&(at, power)| power != normal[at]);
        changes.sort_unstable_by_key(|&(at, _)| at);
        changes.dedup_by_key(|(at, _)| *at);
        let transfers = transfers(given, branch, &dead, None);
        let is_here = within.start < branch.elements.end && branch.elements.start < within.end;
        let dead = match is_here || !transfers.is_empty() {
            true => dead,
            false => Dead::NOTHING,
        };
        Self {
            lost,
            dead,
            changes,
            transfers,
        }
    }

    /// Whether nothing changes on the circuit.
    pub fn is_nothing(&self) -> bool {
        self.changes.is_empty() && self.transfers.is_empty()
    }

    /// Whether two losses do the same to the circuit.
    pub fn is_like(&self, other: &Self) -> bool {
        let moves_alone = self.transfers.is_empty() && other.transfers.is_empty();
        moves_alone && self.dead == other.dead && self.changes == other.changes
    }

    /// Solves the circuit, whose taps normally take `powers`, from the voltages that stand in `state`.
    pub fn solve(
        &self,
        given: Given<'_>,
        branch: &mut Branch<'_>,
        powers: &mut [Complex64],
        state: &mut State,
    ) -> Settled {
        let normal: Vec<Complex64> = self.changes.iter().map(|&(at, _)| powers[at]).collect();
        for &(at, power) in &self.changes {
            powers[at] = power;
        }
        let all = (&mut *powers, state);
        let settled = settle(given, branch, all, &self.dead, &self.transfers);
        for (&(at, _), normal) in self.changes.iter().zip(normal) {
            powers[at] = normal;
        }
        settled
    }
}

/// Losses that loads on a branch feel, ascending, each with the devices that it meets; none where the steps
/// are spent before all are found.
pub(super) fn met(
    given: Given<'_>,
    branch: &Branch<'_>,
    size: Size,
    steps: &mut Steps,
) -> Vec<Met> {
    let graph = given.graph;
    let links = &graph.links;
    let circuit = ElementId(branch.elements.start);
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
            let losses = losses(graph, feeding, size).chain(turned(graph, device, size));
            let felt = losses.filter(|lost| !graph.is_dead_after(circuit, *lost));
            met.extend(felt.map(|lost| (lost, device)));
        }
    }
    met.sort_unstable();
    met.dedup();
    met
}

/// The losses of this size that take an element out and are cases of their own.
fn losses(graph: &Graph, id: ElementId, size: Size) -> impl Iterator<Item = Loss> + '_ {
    let whole = graph.upwards(id).chain(graph.sources_above(id));
    let whole = whole.filter(move |&at| {
        let is_great = is_great(graph.kind(at));
        is_great == (size == Size::Great) && is_case(graph, at)
    });
    let others = graph.cuts_of(id).filter(move |lost| match lost {
        Loss::Of(_) => false,
        Loss::Line(of, _) => size == Size::Great && is_case(graph, *of),
        Loss::Feed(_) | Loss::Switch(_) | Loss::Turned(_) => size == Size::Great,
    });
    whole.map(Loss::Of).chain(others)
}

/// The other position of a transfer switch that somebody may have turned.
fn turned(graph: &Graph, device: Id<Device>, size: Size) -> Option<Loss> {
    let switch = graph.switch_of(device).filter(|_| size == Size::Great);
    graph.switches()[switch?].turned()
}

fn is_great(kind: ElementKind) -> bool {
    matches!(
        kind,
        ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Pdu(_)
    )
}
