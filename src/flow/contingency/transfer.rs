//! Loads that a transfer switch brings to the circuit of its other inlet: what hangs behind it is solved anew
//! from the voltage there, and the circuit with what that takes, in turns until nothing moves.

use num_complex::Complex64;

use crate::flow::branch::{Branch, Solved};
use crate::flow::loads::Shares;
use crate::flow::sweep::{CREEPS, SETTLED, State};
use crate::graph::{Dead, ElementId, Loss};

use super::{Extreme, Extremes, Given, lower, raise};

/// Turns after which what still moves is taken to have no end.
const MOST_TURNS: usize = 50;

/// A switch that brings load to a branch: the tap of its other inlet there, and its place among all switches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Transfer {
    tap: usize,
    switch: usize,
}

/// What hangs behind switches that have gone over, element by element, after a loss.
#[derive(Default)]
pub(super) struct Behind {
    current: Vec<(usize, f64)>,
    voltage: Vec<(ElementId, f64)>,
}

/// What `Behind` shows, with the loss that makes it.
pub(super) type Moved = (Loss, Behind);

/// A branch that has been solved with all that switches bring to it.
pub(super) struct Settled {
    pub solved: Solved,
    pub behind: Behind,
    /// The taps of the transfers, each with all that it takes.
    pub brought: Vec<(usize, Complex64)>,
}

/// The switches that bring load to a branch, which hangs on a circuit or behind the switch `of`.
pub(super) fn transfers(
    given: Given<'_>,
    branch: &Branch<'_>,
    dead: &Dead,
    of: Option<usize>,
) -> Vec<Transfer> {
    let graph = given.graph;
    let here = |id: ElementId| {
        let saved_by = dead.saved_by(graph, id);
        let is_cut_off = dead.cuts_off(graph, id);
        branch.elements.contains(&id.0)
            && if is_cut_off {
                saved_by == of && of.is_some()
            } else {
                of.is_none()
            }
    };
    let switches = graph.switches_at(branch.elements.clone());
    // Of many switches a loss turns few: that is asked first.
    let switches = switches.filter(|switch| dead.turns(graph, *switch));
    let transfers = switches.filter_map(|switch| {
        let other = graph.switches()[switch].other?;
        let tap = branch.tap_of(other).filter(|_| here(other))?;
        Some(Transfer { tap, switch })
    });
    transfers.collect()
}

/// Solves a branch whose taps take `powers` and what the transfers bring.
pub(super) fn settle(
    given: Given<'_>,
    branch: &mut Branch<'_>,
    (powers, state): (&mut [Complex64], &mut State),
    dead: &Dead,
    transfers: &[Transfer],
) -> Settled {
    settle_from(given, branch, (powers, state), (dead, None), transfers)
}

/// The same where what feeds the branch stands at this voltage with no load on it, in volts; `None` for what
/// hangs on a supply.
fn settle_from(
    given: Given<'_>,
    branch: &mut Branch<'_>,
    (powers, state): (&mut [Complex64], &mut State),
    (dead, unloaded): (&Dead, Option<f64>),
    transfers: &[Transfer],
) -> Settled {
    let before: Vec<(Complex64, f64)> = transfers
        .iter()
        .map(|at| (powers[at.tap], branch.taps[at.tap].third_harmonic))
        .collect();
    let mut settled = Settled {
        solved: branch.solve(powers, state),
        behind: Behind::default(),
        brought: Vec::new(),
    };
    let mut left = 0.0;
    for _ in 0..if transfers.is_empty() { 0 } else { MOST_TURNS } {
        (settled.behind, left) = (Behind::default(), 0.0);
        for (at, (own, own_share)) in transfers.iter().zip(&before) {
            let tap = branch.taps[at.tap];
            let source = [state.voltage[tap.from], state.voltage[tap.to]];
            let full = unloaded.unwrap_or_else(|| branch.unloaded_across(tap.from, tap.to));
            let brought = bring(given, (at.switch, dead), (source, full), &mut settled);
            let volts = source[0] - source[1];
            let power = own + volts * brought.current.conj();
            left = f64::max(
                left,
                (power - powers[at.tap]).norm() / power.norm().max(1.0),
            );
            powers[at.tap] = power;
            let harmonic = brought.harmonic + own_share * (own / volts).norm();
            let share = harmonic / (power / volts).norm();
            branch.set_third_harmonic(at.tap, if share.is_finite() { share } else { 0.0 });
        }
        let sweeps = settled.solved.sweeps;
        settled.solved = branch.solve(powers, state);
        settled.solved.sweeps += sweeps;
        if left < SETTLED {
            break;
        }
    }
    settled.solved.holds &= left < CREEPS;
    for (at, (power, share)) in transfers.iter().zip(before) {
        settled.brought.push((at.tap, powers[at.tap]));
        powers[at.tap] = power;
        branch.set_third_harmonic(at.tap, share);
    }
    settled
}

/// What is taken at the other inlet of a switch.
struct Brought {
    current: Complex64,
    harmonic: f64,
}

/// Solves all behind a switch from the voltage at its other inlet.
fn bring(
    given: Given<'_>,
    (switch, dead): (usize, &Dead),
    (source, unloaded): ([Complex64; 2], f64),
    settled: &mut Settled,
) -> Brought {
    let Given {
        graph,
        network,
        loads,
        ..
    } = given;
    let mut branch = Branch::behind(graph, network, loads, &graph.switches()[switch], source);
    let (mut shares, mut harmonic) = (Shares::default(), 0.0);
    let mut powers: Vec<Complex64> = Vec::with_capacity(branch.taps.len());
    for tap in &branch.taps {
        let is_here = dead.saved_by(graph, tap.element) == Some(switch);
        let device = graph.links.inlets[tap.inlet as usize].device;
        loads.share_without(graph, dead, device, &mut shares);
        let own = shares.iter().find(|(inlet, _)| *inlet == tap.inlet);
        let own = own.filter(|_| is_here).map(|(_, power)| *power);
        powers.push(own.unwrap_or_default());
    }
    let transfers = transfers(given, &branch, dead, Some(switch));
    let mut state = branch.unloaded();
    let all = (&mut powers[..], &mut state);
    let inner = settle_from(given, &mut branch, all, (dead, Some(unloaded)), &transfers);
    settled.solved.holds &= inner.solved.holds;
    settled.solved.sweeps += inner.solved.sweeps;
    settled.behind.add(inner.behind);
    settled
        .behind
        .take(given, &branch, (&state, unloaded), |id| {
            dead.saved_by(graph, id) == Some(switch)
        });
    for (tap, power) in branch.taps.iter().zip(&powers) {
        let across = state.voltage[tap.from] - state.voltage[tap.to];
        harmonic += tap.third_harmonic * (power / across).norm();
    }
    Brought {
        current: branch.taken(&state),
        harmonic,
    }
}

impl Behind {
    fn add(&mut self, other: Self) {
        self.current.extend(other.current);
        self.voltage.extend(other.voltage);
    }

    fn take(
        &mut self,
        given: Given<'_>,
        branch: &Branch<'_>,
        (state, unloaded): (&State, f64),
        is_here: impl Fn(ElementId) -> bool,
    ) {
        let first = branch.conductors.start;
        for id in branch
            .elements
            .clone()
            .map(ElementId)
            .filter(|id| is_here(*id))
        {
            let range = given.graph.conductors_of(id);
            let magnitudes = range.clone().map(|at| (at, state.magnitude(at - first)));
            self.current.extend(magnitudes);
            if range.len() == 2 {
                let (a, b) = (range.start - first, range.start + 1 - first);
                // Kept as the share that is left of what feeds it then, in volts of what usually does.
                let share = (state.voltage[a] - state.voltage[b]).norm() / unloaded;
                let usual = &given.network.unloaded;
                let usual = (usual[range.start] - usual[range.start + 1]).norm();
                self.voltage.push((id, share * usual));
            }
        }
    }

    /// Takes what was found into account.
    pub fn settle_in(self, lost: Loss, extremes: &mut Extremes) {
        for (at, value) in self.current {
            raise(&mut extremes.current[at], value, Some(lost));
        }
        for (id, value) in self.voltage {
            let extreme: &mut Extreme = &mut extremes.voltage[id.index()];
            lower(extreme, value, Some(lost));
        }
    }
}
