//! One circuit or supply in one state of the site, solved by itself: for whoever wants to redo a number.

use std::collections::BTreeMap;

use num_complex::Complex64;

use crate::graph::{Dead, ElementId, ElementKind, Graph, Loss};

use super::branch::{Branch, BranchTap};
use super::contingency;
use super::loads::{Loads, Shares};
use super::network::Network;
use super::sweep::State;

/// All that hangs on a circuit or supply, in one state.
#[derive(Debug)]
pub(crate) struct Single {
    /// Its first conductor.
    first: usize,
    state: State,
    powers: BTreeMap<u32, Complex64>,
    /// Whether every load keeps its voltage; the figures mean nothing where one does not.
    pub holds: bool,
}

impl Single {
    /// Solves `scope`, a supply or what hangs directly on one, after a loss, or in the normal state.
    pub fn solve(
        graph: &Graph,
        network: &Network,
        loads: &Loads,
        scope: ElementId,
        lost: Option<Loss>,
    ) -> Self {
        let conductors = graph.conductors_below(scope);
        let mut single = Self {
            first: conductors.start,
            state: State {
                current: vec![Complex64::ZERO; conductors.len()],
                harmonic: vec![0.0; conductors.len()],
                voltage: network.unloaded[conductors].to_vec(),
            },
            powers: BTreeMap::new(),
            holds: true,
        };
        let dead = lost.map_or(Dead::NOTHING, |lost| graph.dead_after(lost));
        let mut add = |top| {
            let branch = Branch::new(graph, network, loads, top);
            single.add(graph, network, loads, branch, &dead);
        };
        match graph.kind(scope) {
            ElementKind::Supply(_) => graph.children(scope).for_each(add),
            _ => add(scope),
        }
        single
    }

    fn add(
        &mut self,
        graph: &Graph,
        network: &Network,
        loads: &Loads,
        mut branch: Branch<'_>,
        dead: &Dead,
    ) {
        let mut powers = powers(graph, loads, &branch.taps, dead);
        let mut state = branch.unloaded();
        let site = (graph, network, loads);
        let solved = contingency::solve_one(site, &mut branch, &mut powers, &mut state, dead);
        self.holds &= solved.holds;
        let inlets = branch.taps.iter().map(|tap| tap.inlet);
        self.powers.extend(inlets.zip(powers));
        let own = branch.conductors.start - self.first..branch.conductors.end - self.first;
        self.state.current[own.clone()].copy_from_slice(&state.current);
        self.state.voltage[own.clone()].copy_from_slice(&state.voltage);
        self.state.harmonic[own].copy_from_slice(&state.harmonic);
        for at in graph.conductors_of(ElementId(branch.elements.start)) {
            // Of a circuit by itself the supply is not in the scope.
            let Some(head) = (network.feeder[at] as usize).checked_sub(self.first) else {
                continue;
            };
            let taken = self.current(at);
            self.state.current[head] += taken;
            if network.shared_neutral[head + self.first] {
                self.state.harmonic[head] += solved.harmonic_to_supply;
            }
        }
    }

    /// Current of a conductor towards the load, in amperes: the fundamental alone.
    pub fn current(&self, conductor: usize) -> Complex64 {
        self.state.current[conductor - self.first]
    }

    /// Voltage at the far end of a conductor against the supply's neutral point, in volts.
    pub fn voltage(&self, conductor: usize) -> Complex64 {
        self.state.voltage[conductor - self.first]
    }

    /// Third-harmonic current of a conductor, in amperes: none but in a shared neutral.
    pub fn harmonic(&self, conductor: usize) -> f64 {
        self.state.harmonic[conductor - self.first]
    }

    /// R.m.s. current of a conductor, harmonics included, in amperes.
    pub fn magnitude(&self, conductor: usize) -> f64 {
        self.state.magnitude(conductor - self.first)
    }

    /// What an inlet takes in this state, in watts and vars; zero for one that hangs elsewhere.
    pub fn power(&self, inlet: u32) -> Complex64 {
        self.powers.get(&inlet).copied().unwrap_or_default()
    }
}

/// What each tap takes: the loads of devices with a dead inlet move to their others.
fn powers(graph: &Graph, loads: &Loads, taps: &[BranchTap], dead: &Dead) -> Vec<Complex64> {
    let mut shares = Shares::new();
    let power = |tap: &BranchTap| {
        if dead.cuts_off(graph, tap.element) {
            return Complex64::ZERO;
        }
        let device = graph.links.inlets[tap.inlet as usize].device;
        loads.share_without(graph, dead, device, &mut shares);
        let own = shares.iter().find(|(inlet, _)| *inlet == tap.inlet);
        own.map_or(Complex64::ZERO, |(_, power)| *power)
    };
    taps.iter().map(power).collect()
}
