//! Whether a small loss can make anything worse than it is known to get: a first-order estimate, far
//! cheaper than a sweep, lets most losses of single cords pass.

use num_complex::Complex64;

use crate::graph::ElementId;

use crate::flow::network::NONE;
use crate::flow::sweep::load_current;

use super::loss::{Change, Worker};
use super::slack::Slack;
use super::{Case, Given};

/// What the estimate may be off by, of a current or a voltage: it leaves out what the change of
/// voltage does to the loads beside the paths, which is of second order.
pub(super) const MARGIN: f64 = 2e-3;
/// The same for the changed load itself, whose own voltage is in the estimate.
pub(super) const OWN_MARGIN: f64 = 2e-4;

impl Worker<'_> {
    /// Whether the few changes of a small loss stay within what is known of everything on their paths.
    pub(super) fn is_borne(&self, lost: ElementId, slack: &Slack) -> bool {
        let harmonic =
            |change: &Change| self.case.given.loads.third_harmonic[change.inlet as usize];
        match self.changes.as_slice() {
            [] => slack.bears(&self.case, lost, None),
            [change] if harmonic(change) == 0.0 => {
                let more = self.more_current(change).norm_sqr().sqrt();
                slack.bears(&self.case, lost, Some((change, more)))
            }
            _ => false,
        }
    }

    /// Estimates the currents and voltages on the paths of a loss, and compares them with the worst
    /// that greater losses made of them. The voltages are left for the sweep to begin with.
    pub(super) fn may_matter(&mut self, lost: ElementId) -> bool {
        let loads = self.case.given.loads;
        let has_harmonics = |change: &Change| loads.third_harmonic[change.inlet as usize] > 0.0;
        if self.changes.iter().any(has_harmonics) {
            return true;
        }
        self.estimate_currents(lost);
        self.estimate_voltages();
        self.exceeds() || self.sags()
    }

    /// The change of each touched conductor's current, left in `residual`.
    fn estimate_currents(&mut self, lost: ElementId) {
        let Case { given, normal } = self.case;
        let Given { graph, network, .. } = given;
        for at in self.touched.iter().flat_map(|&id| graph.conductors_of(id)) {
            self.memory.residual[at] = Complex64::ZERO;
        }
        for at in graph.conductors_of(lost) {
            if network.feeder[at] != NONE {
                self.memory.residual[network.feeder[at] as usize] -= normal.current[at];
            }
        }
        for index in 0..self.changes.len() {
            let change = self.changes[index];
            let more = self.more_current(&change);
            self.memory.residual[change.tap.from as usize] += more;
            self.memory.residual[change.tap.to as usize] -= more;
        }
        for at in self
            .touched
            .iter()
            .rev()
            .flat_map(|&id| graph.conductors_of(id))
        {
            if network.feeder[at] != NONE {
                let more = self.memory.residual[at];
                self.memory.residual[network.feeder[at] as usize] += more;
            }
        }
    }

    /// By what the current of a changed load grows, its own pull on its voltage included.
    fn more_current(&self, change: &Change) -> Complex64 {
        let Case { given, normal } = self.case;
        let (from, to) = (change.tap.from, change.tap.to);
        let voltage = normal.voltage[from as usize] - normal.voltage[to as usize];
        let before = load_current(given.loads.normal[change.inlet as usize], voltage);
        let first = (change.power / voltage).conj() - before;
        let above = &given.network.resistance_above;
        let ohms = above[from as usize] + above[to as usize];
        (change.power / (voltage - first * ohms)).conj() - before
    }

    fn exceeds(&self) -> bool {
        let Case { given, normal } = self.case;
        let Given { graph, network, .. } = given;
        self.touched.iter().any(|&id| {
            let is_load = network.is_load_alone(graph, id);
            let margin = 1.0 + if is_load { OWN_MARGIN } else { MARGIN };
            graph.conductors_of(id).any(|at| {
                let harmonic = normal.harmonic[at];
                let current = (normal.current[at] + self.memory.residual[at]).norm_sqr()
                    + harmonic * harmonic;
                current.sqrt() * margin > self.known.current(at).value
            })
        })
    }

    /// The voltage of each touched conductor.
    fn estimate_voltages(&mut self) {
        let Case { given, normal } = self.case;
        let Given { graph, network, .. } = given;
        for at in self.touched.iter().flat_map(|&id| graph.conductors_of(id)) {
            let above = match network.feeder[at] {
                NONE => Complex64::ZERO,
                feeder => {
                    self.memory.state.voltage[feeder as usize] - normal.voltage[feeder as usize]
                }
            };
            self.memory.state.voltage[at] =
                normal.voltage[at] + above - self.memory.residual[at] * network.resistance[at];
        }
    }

    /// Whether a voltage on the paths or beside them goes below what is known.
    fn sags(&self) -> bool {
        let Case { given, normal } = self.case;
        let graph = given.graph;
        let is_lower = |voltage: Complex64, id: ElementId| {
            voltage.norm_sqr().sqrt() * (1.0 - OWN_MARGIN) < self.known.voltage(id).value
        };
        let on = self.touched.iter().any(|&id| {
            let range = graph.conductors_of(id);
            range.len() == 2
                && is_lower(
                    self.memory.state.voltage[range.start]
                        - self.memory.state.voltage[range.start + 1],
                    id,
                )
        });
        let moved = |at: usize| self.memory.state.voltage[at] - normal.voltage[at];
        let mut crowds = self.crowds_beside.iter().map(|beside| {
            let members = self.crowds.get(beside.crowd);
            let by = moved(beside.from) - moved(beside.to);
            members.feels(members.fall(given, by))
        });
        on || crowds.any(|feels| feels)
            || self.beside.iter().any(|beside| {
                let own = graph.conductors_of(beside.element).start;
                is_lower(
                    normal.voltage[own] - normal.voltage[own + 1] + moved(beside.from)
                        - moved(beside.to),
                    beside.element,
                )
            })
    }
}
