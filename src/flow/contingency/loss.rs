//! One loss: which inlets change, which elements that touches, and the sweep over those alone.

use num_complex::Complex64;

use crate::graph::ElementId;

use crate::flow::network::{NONE, Tap};
use crate::flow::sweep::{self, MOST_SWEEPS, SETTLED, State, load_current};

use super::slack::Slack;
use super::{Case, Extremes, circuit_above};

/// How much is solved again.
#[derive(Clone, Copy)]
pub(super) enum Depth<'a> {
    /// Every circuit that loses or takes over load, with all that hangs on it.
    WholeCircuits,
    /// The paths that lose or take over load, unless the slack bears the loss.
    Paths(&'a Slack),
}

impl Depth<'_> {
    /// Relative change of a voltage below which the sweep has settled: along paths, finer than what
    /// hangs beside them is known.
    fn settled(self) -> f64 {
        match self {
            Self::WholeCircuits => SETTLED,
            Self::Paths(_) => 1e-6,
        }
    }
}

/// An inlet whose load changes.
#[derive(Clone, Copy)]
pub(super) struct Change {
    pub(super) inlet: u32,
    pub(super) tap: Tap,
    pub(super) power: Complex64,
}

/// A two-pole element beside the paths: constant power where it branches off.
#[derive(Clone, Copy)]
pub(super) struct Beside {
    pub(super) element: ElementId,
    /// Conductors of the path that it hangs on.
    pub(super) from: usize,
    pub(super) to: usize,
}

/// Solves losses one after the other, reusing its memory.
pub(super) struct Worker<'a> {
    pub(super) case: Case<'a>,
    pub(super) known: &'a Extremes,
    /// What the losses solved so far have made worse.
    pub(super) found: Extremes,
    pub(super) state: State,
    /// Part of each touched conductor's normal current that stays with it.
    pub(super) residual: Vec<Complex64>,
    pub(super) touched: Vec<ElementId>,
    pub(super) beside: Vec<Beside>,
    is_touched: Vec<bool>,
    pub(super) changes: Vec<Change>,
    shares: Vec<(u32, Complex64)>,
    devices: Vec<u32>,
}

impl<'a> Worker<'a> {
    pub(super) fn new(case: Case<'a>, known: &'a Extremes) -> Self {
        Self {
            case,
            known,
            found: known.clone(),
            state: case.normal.clone(),
            residual: vec![Complex64::ZERO; case.network.feeder.len()],
            touched: Vec::new(),
            beside: Vec::new(),
            is_touched: vec![false; case.graph.len()],
            changes: Vec::new(),
            shares: Vec::new(),
            devices: Vec::new(),
        }
    }

    /// Solves the loss of one element and takes the outcome into account.
    pub(super) fn lose(&mut self, lost: ElementId, depth: Depth<'_>) {
        self.find_changes(lost);
        if self.devices.is_empty() {
            return;
        }
        match depth {
            Depth::WholeCircuits => {
                self.touch(lost);
                self.touch_circuits(lost);
                self.touched.sort_unstable();
                self.settle(lost, depth);
            }
            Depth::Paths(slack) => {
                if self.is_borne(lost, slack) {
                    return;
                }
                self.touch(lost);
                self.touched.sort_unstable();
                self.find_beside(lost);
                if self.may_matter(lost, slack) {
                    self.settle(lost, depth);
                }
            }
        }
        self.restore(lost);
    }

    fn settle(&mut self, lost: ElementId, depth: Depth<'_>) {
        let settled = self.solve(lost, depth);
        self.take(lost, settled);
        self.look_beside(lost);
    }

    /// Devices below the loss share their load anew among the inlets that are left.
    fn find_changes(&mut self, lost: ElementId) {
        let Case {
            graph,
            network,
            loads,
            ..
        } = self.case;
        self.changes.clear();
        self.devices.clear();
        let below = graph.below(lost);
        for element in below.clone() {
            let inlet = network.inlet_of[element as usize];
            if inlet != NONE {
                self.devices
                    .push(graph.links.inlets[inlet as usize].device.index() as u32);
            }
        }
        self.devices.sort_unstable();
        self.devices.dedup();
        for &device in &self.devices {
            let is_lost = |inlet: u32| {
                network.taps[inlet as usize].is_some_and(|tap| below.contains(&tap.element.0))
            };
            let alive = |inlet: u32| loads.fed[inlet as usize] && !is_lost(inlet);
            loads.share(
                graph,
                crate::model::value::Id::new(device as usize),
                alive,
                &mut self.shares,
            );
            for &(inlet, power) in &self.shares {
                let tap = network.taps[inlet as usize].filter(|_| !is_lost(inlet));
                let is_new = power != loads.normal[inlet as usize];
                self.changes.extend(
                    tap.filter(|_| is_new)
                        .map(|tap| Change { inlet, tap, power }),
                );
            }
        }
    }

    fn touch(&mut self, lost: ElementId) {
        let graph = self.case.graph;
        self.touched.clear();
        let ends = self
            .changes
            .iter()
            .map(|change| change.tap.element)
            .chain(graph.element(lost).feeder);
        for end in ends.collect::<Vec<_>>() {
            for id in graph.upwards(end) {
                if std::mem::replace(&mut self.is_touched[id.index()], true) {
                    break;
                }
                self.touched.push(id);
            }
        }
    }

    /// What hangs beside the paths on elements of several lines, each thing with its own two poles.
    fn find_beside(&mut self, lost: ElementId) {
        let Case { graph, network, .. } = self.case;
        self.beside.clear();
        let is_shared =
            |id: ElementId| graph.conductors_of(id).len() > 2 && graph.element(id).feeder.is_some();
        for &id in self.touched.iter().filter(|id| is_shared(**id)) {
            for child in graph
                .children(id)
                .filter(|child| *child != lost && !self.is_touched[child.index()])
            {
                let up = |at: usize| network.feeder[at] as usize;
                let mut add = |element: ElementId, up: &dyn Fn(usize) -> usize| {
                    let range = graph.conductors_of(element);
                    if range.len() == 2 {
                        self.beside.push(Beside {
                            element,
                            from: up(range.start),
                            to: up(range.start + 1),
                        });
                    }
                };
                if graph.conductors_of(child).len() == 2 {
                    add(child, &up);
                } else {
                    graph
                        .children(child)
                        .filter(|bank| *bank != lost)
                        .for_each(|bank| add(bank, &|at| up(up(at))));
                }
            }
        }
    }

    fn touch_circuits(&mut self, lost: ElementId) {
        let graph = self.case.graph;
        let mut circuits: Vec<ElementId> = self
            .touched
            .iter()
            .filter_map(|&id| circuit_above(graph, id))
            .collect();
        circuits.sort_unstable();
        circuits.dedup();
        let lost = graph.below(lost);
        for id in circuits
            .into_iter()
            .flat_map(|circuit| graph.below(circuit))
        {
            if !lost.contains(&id) && !std::mem::replace(&mut self.is_touched[id as usize], true) {
                self.touched.push(ElementId(id));
            }
        }
    }

    /// Sweeps over what is touched; whether it settled.
    fn solve(&mut self, lost: ElementId, depth: Depth<'_>) -> bool {
        self.split_off(lost);
        for _ in 0..MOST_SWEEPS {
            self.backward();
            if self.forward() < depth.settled() {
                self.backward();
                self.harmonics(lost);
                return true;
            }
        }
        false
    }

    /// What of the normal current stays: all but the lost element, the changed inlets and what comes
    /// from touched elements, which are summed again.
    fn split_off(&mut self, lost: ElementId) {
        let Case {
            graph,
            network,
            normal,
            ..
        } = self.case;
        let own = self.touched.iter().flat_map(|&id| graph.conductors_of(id));
        for at in own.clone() {
            self.residual[at] = normal.current[at];
        }
        for at in own.chain(graph.conductors_of(lost)) {
            let feeder = network.feeder[at];
            if feeder != NONE {
                self.residual[feeder as usize] -= normal.current[at];
            }
        }
        for change in &self.changes {
            let (from, to) = (change.tap.from as usize, change.tap.to as usize);
            let voltage = normal.voltage[from] - normal.voltage[to];
            let current = load_current(self.case.loads.normal[change.inlet as usize], voltage);
            self.residual[from] -= current;
            self.residual[to] += current;
        }
    }

    fn backward(&mut self) {
        for index in 0..self.touched.len() {
            self.rescale(self.touched[index]);
        }
        let (old, new) = (&self.case.normal.voltage, &self.state.voltage);
        for &Beside { element, from, to } in &self.beside {
            let ratio = against(old[from] - old[to], new[from] - new[to]);
            let current =
                self.case.normal.current[self.case.graph.conductors_of(element).start] * ratio;
            self.state.current[from] += current;
            self.state.current[to] -= current;
        }
        for change in &self.changes {
            let (from, to) = (change.tap.from as usize, change.tap.to as usize);
            let current = load_current(
                change.power,
                self.state.voltage[from] - self.state.voltage[to],
            );
            self.state.current[from] += current;
            self.state.current[to] -= current;
        }
        let Case { graph, network, .. } = self.case;
        for at in self
            .touched
            .iter()
            .rev()
            .flat_map(|&id| graph.conductors_of(id))
        {
            let feeder = network.feeder[at];
            if feeder != NONE {
                let current = self.state.current[at];
                self.state.current[feeder as usize] += current;
            }
        }
    }

    /// What stays with an element: a supply holds its voltage, so there it stays as it is; on a
    /// two-pole element it counts as constant power, whose current goes against the voltage; on
    /// elements of several lines all is summed from what hangs there.
    fn rescale(&mut self, id: ElementId) {
        let Case { graph, normal, .. } = self.case;
        let range = graph.conductors_of(id);
        let (old, new) = (&normal.voltage, &self.state.voltage);
        if range.len() == 2 {
            let (a, b) = (range.start, range.start + 1);
            let ratio = against(old[a] - old[b], new[a] - new[b]);
            self.state.current[a] = self.residual[a] * ratio;
            self.state.current[b] = self.residual[b] * ratio;
            return;
        }
        let is_supply = graph.element(id).feeder.is_none();
        range.for_each(|at| {
            self.state.current[at] = if is_supply {
                self.residual[at]
            } else {
                Complex64::ZERO
            }
        });
    }

    fn forward(&mut self) -> f64 {
        let Case { graph, network, .. } = self.case;
        let mut moved = 0f64;
        for at in self.touched.iter().flat_map(|&id| graph.conductors_of(id)) {
            let feeder = network.feeder[at];
            let source = if feeder == NONE {
                network.unloaded[at]
            } else {
                self.state.voltage[feeder as usize]
            };
            let voltage = source - self.state.current[at] * network.resistance[at];
            moved = moved.max(sweep::change(network, at, voltage, self.state.voltage[at]));
            self.state.voltage[at] = voltage;
        }
        moved.sqrt()
    }

    /// Third harmonics add up: what changes below changes the neutrals above by as much.
    fn harmonics(&mut self, lost: ElementId) {
        let Case {
            graph,
            network,
            loads,
            normal,
        } = self.case;
        let add = |harmonic: &mut [f64], inlet: u32, tap: &Tap, sign: f64, current: Complex64| {
            let share = loads.third_harmonic[inlet as usize];
            if share > 0.0 {
                sweep::add_harmonic(network, harmonic, tap.to, sign * share * current.norm());
            }
        };
        for change in &self.changes {
            let at = change.tap.from as usize;
            add(
                &mut self.state.harmonic,
                change.inlet,
                &change.tap,
                1.0,
                self.state.current[at],
            );
            add(
                &mut self.state.harmonic,
                change.inlet,
                &change.tap,
                -1.0,
                normal.current[at],
            );
        }
        for element in graph.below(lost) {
            let inlet = network.inlet_of[element as usize];
            if let Some(tap) = (inlet != NONE)
                .then(|| network.taps[inlet as usize])
                .flatten()
            {
                add(
                    &mut self.state.harmonic,
                    inlet,
                    &tap,
                    -1.0,
                    normal.current[tap.from as usize],
                );
            }
        }
    }

    fn take(&mut self, lost: ElementId, settled: bool) {
        let Case { graph, network, .. } = self.case;
        for index in 0..self.touched.len() {
            let id = self.touched[index];
            self.found.take(graph, network, &self.state, id, Some(lost));
            let range = graph.conductors_of(id);
            let gone = network.inlet_of[id.index()] != NONE
                && range.len() == 2
                && sweep::has_collapsed(
                    self.state.voltage[range.start] - self.state.voltage[range.start + 1],
                    network.unloaded[range.start] - network.unloaded[range.start + 1],
                );
            if gone || (!settled && circuit_above(graph, id) == Some(id)) {
                self.found
                    .collapses
                    .extend(circuit_above(graph, id).map(|circuit| (circuit, Some(lost))));
            }
        }
    }

    /// Voltages beside the paths, which move with the path that they hang on; what they make of the
    /// currents there is settled at the end, see [`super::Extremes::bound`].
    fn look_beside(&mut self, lost: ElementId) {
        let Case { graph, normal, .. } = self.case;
        let moved = |at: usize| self.state.voltage[at] - normal.voltage[at];
        for &Beside { element, from, to } in &self.beside {
            let own = graph.conductors_of(element).start;
            let voltage = normal.voltage[own] - normal.voltage[own + 1] + moved(from) - moved(to);
            self.found
                .lower_voltage(element, voltage.norm_sqr().sqrt(), lost);
        }
    }

    /// Back to the normal state, also below the loss, where nothing was solved but harmonics are gone.
    fn restore(&mut self, lost: ElementId) {
        let Case { graph, normal, .. } = self.case;
        for &id in &self.touched {
            self.is_touched[id.index()] = false;
            for at in graph.conductors_of(id) {
                self.state.current[at] = normal.current[at];
                self.state.voltage[at] = normal.voltage[at];
                self.state.harmonic[at] = normal.harmonic[at];
            }
        }
        for below in graph.below(lost) {
            for at in graph.conductors_of(ElementId(below)) {
                self.state.harmonic[at] = normal.harmonic[at];
            }
        }
    }
}

/// By what a constant-power current changes when its voltage goes from `old` to `new`.
fn against(old: Complex64, new: Complex64) -> Complex64 {
    if old == new || new == Complex64::ZERO {
        Complex64::ONE
    } else {
        (old / new).conj()
    }
}
