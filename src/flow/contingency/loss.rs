//! One small loss, of a bank or a cord: which inlets change, which elements that touches, and the sweep
//! over those alone.

use num_complex::Complex64;

use crate::graph::{ElementId, ElementKind, Loss};
use crate::model::circuits::Supply;
use crate::model::devices::Device;
use crate::model::value::Id;

use crate::flow::loads::Shares;
use crate::flow::network::{NONE, Tap};
use crate::flow::sweep::{self, MOST_SWEEPS, State, load_current};

use super::crowd::{self, Crowds, Fall, Falls};
use super::slack::Slack;
use super::{Case, Extreme, Extremes, Given, circuit_above, lowest};

/// What losses have made worse than it was known.
#[derive(Default)]
pub(super) struct Found {
    /// By conductor, in amperes.
    pub current: Vec<(usize, Extreme)>,
    /// By element, in volts or as a share.
    pub voltage: Vec<(ElementId, Extreme)>,
    /// By supply, in volt-amperes.
    pub power: Vec<(Id<Supply>, Extreme)>,
    /// Circuits whose voltage collapses, each with what makes it.
    pub collapses: Vec<(ElementId, Option<Loss>)>,
    /// What pulls crowds down.
    pub falls: Falls,
}

/// Relative change of a voltage below which the sweep along paths has settled: finer than what hangs
/// beside them is known.
const SETTLED: f64 = 1e-6;

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

/// A crowd beside the paths: what it takes in the normal state, but for what is on the paths.
#[derive(Clone, Copy)]
pub(super) struct CrowdBeside {
    pub(super) crowd: u32,
    /// Conductors of the path that it hangs on.
    pub(super) from: usize,
    pub(super) to: usize,
    current: Complex64,
}

/// What a worker writes on: as large as the site, and left as it was found.
pub(super) struct Memory {
    pub(super) state: State,
    /// Part of each touched conductor's normal current that stays with it.
    pub(super) residual: Vec<Complex64>,
    is_touched: Vec<bool>,
}

impl Memory {
    /// In the normal state.
    pub(super) fn new(case: &Case<'_>) -> Self {
        Self {
            state: case.normal.clone(),
            residual: vec![Complex64::ZERO; case.given.network.feeder.len()],
            is_touched: vec![false; case.given.graph.len()],
        }
    }
}

/// Solves losses one after the other.
pub(super) struct Worker<'a> {
    pub(super) case: Case<'a>,
    pub(super) known: &'a Extremes,
    slack: Option<&'a Slack>,
    pub(super) crowds: &'a Crowds,
    /// What the losses solved so far have made worse.
    pub(super) found: Found,
    pub(super) memory: &'a mut Memory,
    pub(super) touched: Vec<ElementId>,
    pub(super) beside: Vec<Beside>,
    pub(super) crowds_beside: Vec<CrowdBeside>,
    /// Children of elements with crowds that are on the paths.
    tops: Vec<ElementId>,
    pub(super) changes: Vec<Change>,
    shares: Shares,
    devices: Vec<Id<Device>>,
}

impl<'a> Worker<'a> {
    pub(super) fn new(
        case: Case<'a>,
        known: &'a Extremes,
        slack: Option<&'a Slack>,
        crowds: &'a Crowds,
        memory: &'a mut Memory,
    ) -> Self {
        Self {
            case,
            known,
            slack,
            crowds,
            found: Found::default(),
            memory,
            touched: Vec::new(),
            beside: Vec::new(),
            crowds_beside: Vec::new(),
            tops: Vec::new(),
            changes: Vec::new(),
            shares: Vec::new(),
            devices: Vec::new(),
        }
    }

    /// Solves the loss of one element along the paths that lose or take over load, unless it cannot
    /// make anything worse, and takes the outcome into account.
    pub(super) fn lose(&mut self, lost: ElementId) {
        self.find_changes(lost);
        let is_borne = |slack| self.is_borne(lost, slack);
        if self.devices.is_empty() || self.slack.is_some_and(is_borne) {
            return;
        }
        self.touch(lost);
        self.touched.sort_unstable();
        self.find_beside(lost);
        if self.may_matter(lost) {
            let settled = self.solve(lost);
            self.take(lost, settled);
            self.look_beside(lost);
        }
        self.restore(lost);
    }

    /// Devices below the loss share their load anew among the inlets that are left.
    fn find_changes(&mut self, lost: ElementId) {
        let given = self.case.given;
        let Given {
            graph,
            network,
            loads,
            ..
        } = given;
        self.changes.clear();
        self.devices.clear();
        let below = graph.below(lost);
        let inlets = below
            .clone()
            .map(|element| network.inlet_of[element as usize]);
        let inlets = inlets.filter(|&inlet| inlet != NONE);
        let devices = inlets.map(|inlet| graph.links.inlets[inlet as usize].device);
        self.devices.extend(devices);
        self.devices.sort_unstable();
        self.devices.dedup();
        for &device in &self.devices {
            given.share_without(&below, device, &mut self.shares);
            for &(inlet, power) in &self.shares {
                let tap = network.taps[inlet as usize];
                let tap = tap.filter(|tap| !below.contains(&tap.element.0));
                let is_new = power != loads.normal[inlet as usize];
                let change = tap.filter(|_| is_new);
                self.changes
                    .extend(change.map(|tap| Change { inlet, tap, power }));
            }
        }
    }

    fn touch(&mut self, lost: ElementId) {
        let graph = self.case.given.graph;
        self.touched.clear();
        let ends = self
            .changes
            .iter()
            .map(|change| change.tap.element)
            .chain(graph.element(lost).feeder);
        for end in ends.collect::<Vec<_>>() {
            for id in graph.upwards(end) {
                if std::mem::replace(&mut self.memory.is_touched[id.index()], true) {
                    break;
                }
                self.touched.push(id);
            }
        }
    }

    /// What hangs beside the paths on elements of several lines, each thing with its own two poles.
    fn find_beside(&mut self, lost: ElementId) {
        let Given { graph, network, .. } = self.case.given;
        self.beside.clear();
        self.find_crowds(lost);
        let is_shared =
            |id: ElementId| graph.conductors_of(id).len() > 2 && graph.element(id).feeder.is_some();
        let is_crowded = |id: ElementId| self.crowds.of(id).is_some();
        let touched = self.touched.iter().filter(|id| is_shared(**id));
        for &id in touched.filter(|id| !is_crowded(**id)) {
            for child in graph
                .children(id)
                .filter(|child| *child != lost && !self.memory.is_touched[child.index()])
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

    /// The crowds on the paths, each without what is on the paths itself.
    fn find_crowds(&mut self, lost: ElementId) {
        let graph = self.case.given.graph;
        self.crowds_beside.clear();
        self.tops.clear();
        let is_top = |id: &ElementId| {
            let feeder = graph.element(*id).feeder;
            feeder.is_some_and(|feeder| self.crowds.of(feeder).is_some())
        };
        let on_paths = self.touched.iter().copied().chain([lost]);
        self.tops.extend(on_paths.filter(is_top));
        for &id in &self.touched {
            for &crowd in self.crowds.of(id).into_iter().flatten() {
                let members = self.crowds.get(crowd);
                let beside = members.without(&self.tops).map(|current| CrowdBeside {
                    crowd,
                    from: members.from,
                    to: members.to,
                    current,
                });
                self.crowds_beside.extend(beside);
            }
        }
    }

    /// Sweeps over what is touched; whether it settled.
    fn solve(&mut self, lost: ElementId) -> bool {
        self.split_off(lost);
        for _ in 0..MOST_SWEEPS {
            self.backward();
            if self.forward() < SETTLED {
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
        let Case { given, normal } = self.case;
        let Given { graph, network, .. } = given;
        let own = self.touched.iter().flat_map(|&id| graph.conductors_of(id));
        for at in own.clone() {
            self.memory.residual[at] = normal.current[at];
        }
        for at in own.chain(graph.conductors_of(lost)) {
            let feeder = network.feeder[at];
            if feeder != NONE {
                self.memory.residual[feeder as usize] -= normal.current[at];
            }
        }
        for change in &self.changes {
            let (from, to) = (change.tap.from as usize, change.tap.to as usize);
            let voltage = normal.voltage[from] - normal.voltage[to];
            let current =
                load_current(self.case.given.loads.normal[change.inlet as usize], voltage);
            self.memory.residual[from] -= current;
            self.memory.residual[to] += current;
        }
    }

    fn backward(&mut self) {
        for index in 0..self.touched.len() {
            self.rescale(self.touched[index]);
        }
        let (old, new) = (&self.case.normal.voltage, &self.memory.state.voltage);
        for &Beside { element, from, to } in &self.beside {
            let ratio = against(old[from] - old[to], new[from] - new[to]);
            let current = self.case.normal.current
                [self.case.given.graph.conductors_of(element).start]
                * ratio;
            self.memory.state.current[from] += current;
            self.memory.state.current[to] -= current;
        }
        for &CrowdBeside {
            from, to, current, ..
        } in &self.crowds_beside
        {
            let current = current * against(old[from] - old[to], new[from] - new[to]);
            self.memory.state.current[from] += current;
            self.memory.state.current[to] -= current;
        }
        for change in &self.changes {
            let (from, to) = (change.tap.from as usize, change.tap.to as usize);
            let current = load_current(
                change.power,
                self.memory.state.voltage[from] - self.memory.state.voltage[to],
            );
            self.memory.state.current[from] += current;
            self.memory.state.current[to] -= current;
        }
        let Given { graph, network, .. } = self.case.given;
        for at in self
            .touched
            .iter()
            .rev()
            .flat_map(|&id| graph.conductors_of(id))
        {
            let feeder = network.feeder[at];
            if feeder != NONE {
                let current = self.memory.state.current[at];
                self.memory.state.current[feeder as usize] += current;
            }
        }
    }

    /// What stays with an element: a supply holds its voltage, so there it stays as it is; on a
    /// two-pole element it counts as constant power, whose current goes against the voltage; on
    /// elements of several lines all is summed from what hangs there.
    fn rescale(&mut self, id: ElementId) {
        let Case { given, normal } = self.case;
        let graph = given.graph;
        let range = graph.conductors_of(id);
        let (old, new) = (&normal.voltage, &self.memory.state.voltage);
        if range.len() == 2 {
            let (a, b) = (range.start, range.start + 1);
            let ratio = against(old[a] - old[b], new[a] - new[b]);
            self.memory.state.current[a] = self.memory.residual[a] * ratio;
            self.memory.state.current[b] = self.memory.residual[b] * ratio;
            return;
        }
        let is_supply = graph.element(id).feeder.is_none();
        range.for_each(|at| {
            self.memory.state.current[at] = if is_supply {
                self.memory.residual[at]
            } else {
                Complex64::ZERO
            }
        });
    }

    fn forward(&mut self) -> f64 {
        let Given { graph, network, .. } = self.case.given;
        let mut moved = 0f64;
        for at in self.touched.iter().flat_map(|&id| graph.conductors_of(id)) {
            let feeder = network.feeder[at];
            let source = if feeder == NONE {
                network.unloaded[at]
            } else {
                self.memory.state.voltage[feeder as usize]
            };
            let voltage = source - self.memory.state.current[at] * network.resistance[at];
            let change = (voltage - self.memory.state.voltage[at]).norm_sqr();
            moved = moved.max(change * network.weight[at]);
            self.memory.state.voltage[at] = voltage;
        }
        moved.sqrt()
    }

    /// Third harmonics add up: what changes below changes the neutrals above by as much.
    fn harmonics(&mut self, lost: ElementId) {
        let Case { given, normal } = self.case;
        let Given {
            graph,
            network,
            loads,
            ..
        } = given;
        let thirds = |inlet: u32, tap: &Tap, power: Complex64, volts: &[Complex64]| {
            let across = volts[tap.from as usize] - volts[tap.to as usize];
            loads.third_harmonic[inlet as usize] * load_current(power, across).norm()
        };
        let mut gone: Vec<(u32, f64)> = Vec::new();
        let before = |inlet: u32, tap: &Tap| {
            let power = loads.normal[inlet as usize];
            (tap.to, -thirds(inlet, tap, power, &normal.voltage))
        };
        for Change { inlet, tap, power } in &self.changes {
            let now = thirds(*inlet, tap, *power, &self.memory.state.voltage);
            gone.extend([(tap.to, now), before(*inlet, tap)]);
        }
        for element in graph.below(lost) {
            let inlet = network.inlet_of[element as usize];
            let tap = network.taps.get(inlet as usize).copied().flatten();
            gone.extend(tap.map(|tap| before(inlet, &tap)));
        }
        for (to, more) in gone.into_iter().filter(|(_, more)| *more != 0.0) {
            sweep::add_harmonic(network, &mut self.memory.state.harmonic, to, more);
        }
    }

    fn take(&mut self, lost: ElementId, settled: bool) {
        let Given { graph, network, .. } = self.case.given;
        for index in 0..self.touched.len() {
            let id = self.touched[index];
            self.take_element(id, lost);
            let range = graph.conductors_of(id);
            let gone = network.inlet_of[id.index()] != NONE
                && range.len() == 2
                && sweep::has_collapsed(
                    self.memory.state.voltage[range.start]
                        - self.memory.state.voltage[range.start + 1],
                    network.unloaded[range.start] - network.unloaded[range.start + 1],
                );
            if gone || (!settled && circuit_above(graph, id) == Some(id)) {
                self.found.collapses.extend(
                    circuit_above(graph, id).map(|circuit| (circuit, Some(Loss::Of(lost)))),
                );
            }
        }
    }

    /// Keeps what an element has worse than it was known.
    fn take_element(&mut self, id: ElementId, lost: ElementId) {
        let Given { graph, network, .. } = self.case.given;
        let lost = Some(Loss::Of(lost));
        let range = graph.conductors_of(id);
        for at in range.clone() {
            let value = self.memory.state.magnitude(at);
            if value >= self.known.current(at).value {
                self.found.current.push((at, Extreme { value, lost }));
            }
        }
        let own = &self.memory.state.voltage[range.clone()];
        if let Some(value) = lowest(&network.unloaded[range.clone()], own)
            && value <= self.known.voltage(id).value
        {
            self.found.voltage.push((id, Extreme { value, lost }));
        }
        if let ElementKind::Supply(supply) = graph.kind(id) {
            let value = self.memory.state.power(range);
            self.found.power.push((supply, Extreme { value, lost }));
        }
    }

    /// Voltages beside the paths, which move with the path that they hang on; what they make of the
    /// currents there is settled at the end, see [`super::Extremes::bound`].
    fn look_beside(&mut self, lost: ElementId) {
        let Case { given, normal } = self.case;
        let graph = given.graph;
        let moved = |at: usize| self.memory.state.voltage[at] - normal.voltage[at];
        for &Beside { element, from, to } in &self.beside {
            let own = graph.conductors_of(element).start;
            let voltage = normal.voltage[own] - normal.voltage[own + 1] + moved(from) - moved(to);
            let value = voltage.norm_sqr().sqrt();
            if value <= self.known.voltage(element).value {
                let lost = Some(Loss::Of(lost));
                self.found.voltage.push((element, Extreme { value, lost }));
            }
        }
        for &CrowdBeside {
            crowd, from, to, ..
        } in &self.crowds_beside
        {
            let (members, by) = (self.crowds.get(crowd), moved(from) - moved(to));
            let fall = members.fall(self.case.given, by);
            if members.feels(fall) {
                let fall = Fall::new(fall, by, lost, &self.tops);
                crowd::keep(&mut self.found.falls, crowd, fall);
            }
        }
    }

    /// Back to the normal state, also below the loss, where nothing was solved but harmonics are gone.
    fn restore(&mut self, lost: ElementId) {
        let Case { given, normal } = self.case;
        let graph = given.graph;
        for &id in &self.touched {
            self.memory.is_touched[id.index()] = false;
            for at in graph.conductors_of(id) {
                self.memory.state.current[at] = normal.current[at];
                self.memory.state.voltage[at] = normal.voltage[at];
                self.memory.state.harmonic[at] = normal.harmonic[at];
            }
        }
        for below in graph.below(lost) {
            for at in graph.conductors_of(ElementId(below)) {
                self.memory.state.harmonic[at] = normal.harmonic[at];
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
