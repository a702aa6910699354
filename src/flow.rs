//! The physics: what every load takes, the currents and voltages along every path in the normal
//! state, and the worst that any single loss makes of them.
//!
//! Loads take constant power. Currents are phasors on the conductors of the graph, found by
//! forward-backward sweep from an ideal supply that sits at the low end of its tolerance; the
//! reactance of cords and short circuits is neglected (conductors up to 16 mm² are nearly pure
//! resistance). A *contingency* is the loss of one element; see [`contingency`].

pub(crate) mod ahead;
pub(crate) mod branch;
pub(crate) mod contingency;
pub mod fault;
pub(crate) mod impedance;
pub(crate) mod landlord;
pub mod loads;
pub(crate) mod low_end;
pub(crate) mod network;
pub mod protection;
pub(crate) mod single;
pub mod sweep;

use num_complex::Complex64;

use crate::budget::{Budget, Work};
use crate::graph::{ElementId, ElementKind, Graph, Loss};
use crate::model::Model;
use crate::model::circuits::{Pole, Supply};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{
    ApparentPower, Current, InUnits, Ratio, Voltage, amperes, percent, volt_amperes, volts,
};

use ahead::{Delivered, Input};
pub use contingency::Unsolved;
use contingency::{Extreme, Extremes, Surveyed};
use fault::FaultLoops;
use loads::{Loads, Unsummed};
use network::{Network, Sequence};
use sweep::State;

/// The largest current of an element and what makes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// Its value.
    pub current: Current,
    /// The pole that carries it.
    pub pole: Pole,
    /// What is lost; `None` in the normal state.
    pub lost: Option<Loss>,
}

/// The lowest share of its unloaded voltage that an element keeps, and what makes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowestShare {
    /// Its value.
    pub share: Ratio,
    /// What is lost; `None` in the normal state.
    pub lost: Option<Loss>,
}

/// Currents and voltages of the whole site, computed once.
#[derive(Debug)]
pub struct Flows {
    /// What every inlet takes and every device needs.
    pub loads: Loads,
    /// What stands in the way of a fault.
    pub fault_loops: FaultLoops,
    inputs: Vec<Input>,
    delivered: Delivered,
    normal: State,
    /// The normal state with the lines in the other sequence, where nobody has proved which it is.
    normal_reverse: Option<State>,
    extremes: Extremes,
    nominal: Vec<Complex64>,
    unloaded: Vec<Complex64>,
    unsummed: Unsummed,
    unsolved: Vec<Unsolved>,
}

impl Flows {
    /// Computes all flows of a site.
    pub fn new(model: &Model, graph: &Graph) -> Self {
        Self::within(model, graph, &Budget::default())
    }

    /// The same with so much work as the budget allows.
    pub fn within(model: &Model, graph: &Graph, budget: &Budget) -> Self {
        Self::of_loads(model, graph, budget, || Loads::new(model, graph))
    }

    /// The same as if every device stayed up while any of its inlets is fed, whatever it is recorded to
    /// need.
    pub fn if_nothing_stops(model: &Model, graph: &Graph) -> Self {
        let loads = || Loads::if_nothing_stops(model, graph);
        Self::of_loads(model, graph, &Budget::default(), loads)
    }

    fn of_loads(
        model: &Model,
        graph: &Graph,
        budget: &Budget,
        loads: impl FnOnce() -> Loads + Send,
    ) -> Self {
        let solves = budget.of(Work::Solves);
        let (fault_loops, (loads, forward)) = rayon::join(
            || FaultLoops::new(model, graph),
            || rayon::join(loads, || Network::new(model, graph, Sequence::Forward)),
        );
        let inputs = ahead::inputs(model);
        let mut extremes = Extremes::new(graph);
        let analysis = |network: &Network, extremes: &mut Extremes| {
            contingency::survey(graph, network, (&loads, &inputs), extremes, solves)
        };
        let Surveyed {
            normal,
            mut delivered,
            mut unsolved,
        } = analysis(&forward, &mut extremes);
        let normal_reverse = forward.sequence_matters().then(|| {
            let reverse = Network::new(model, graph, Sequence::Reverse);
            let in_reverse = analysis(&reverse, &mut extremes);
            unsolved.extend(in_reverse.unsolved);
            delivered.at_least(&in_reverse.delivered);
            in_reverse.normal
        });
        unsolved.sort_unstable();
        unsolved.dedup();
        let unsummed = loads.unsummed(graph);
        let nominal = forward.nominal().to_vec();
        let unloaded = forward.unloaded;
        Self {
            loads,
            fault_loops,
            inputs,
            delivered,
            normal,
            normal_reverse,
            extremes,
            nominal,
            unloaded,
            unsummed,
            unsolved,
        }
    }

    /// Losses that are in no figure, because they would have taken more work than the budget allows.
    pub fn unsolved(&self) -> &[Unsolved] {
        &self.unsolved
    }

    /// Current of each conductor of an element in the normal state, neutral with its harmonics.
    pub fn normal_currents(
        &self,
        graph: &Graph,
        id: ElementId,
    ) -> impl Iterator<Item = (Pole, Current)> {
        let range = graph.conductors_of(id);
        range.map(|at| {
            (
                graph.conductors()[at].pole,
                amperes(self.normal_magnitude(at)),
            )
        })
    }

    /// Current of each conductor of an element in the normal state as a phasor, in amperes towards the
    /// load, fundamental only.
    pub fn phasors(&self, graph: &Graph, id: ElementId) -> impl Iterator<Item = (Pole, Complex64)> {
        let range = graph.conductors_of(id);
        range.map(|at| (graph.conductors()[at].pole, self.normal.current[at]))
    }

    /// The larger current of both sequences, where the sequence is not proved.
    fn normal_magnitude(&self, conductor: usize) -> f64 {
        let reverse = self.normal_reverse.as_ref();
        let reverse = reverse.map_or(0.0, |state| state.magnitude(conductor));
        self.normal.magnitude(conductor).max(reverse)
    }

    /// Largest current of an element's line conductors in the normal state.
    pub fn normal(&self, graph: &Graph, id: ElementId) -> Option<Worst> {
        let lines = graph.conductors_of(id).filter(|&at| is_line(graph, id, at));
        let largest = lines.max_by(|&a, &b| {
            self.normal_magnitude(a)
                .total_cmp(&self.normal_magnitude(b))
        })?;
        Some(Worst {
            current: amperes(self.normal_magnitude(largest)),
            pole: graph.conductors()[largest].pole,
            lost: None,
        })
    }

    /// Largest current of an element's line conductors over the normal state and every contingency.
    pub fn worst(&self, graph: &Graph, id: ElementId) -> Option<Worst> {
        let lines = graph.conductors_of(id).filter(|&at| is_line(graph, id, at));
        let worst = lines.map(|at| self.worst_at(graph, at));
        worst.max_by(|a, b| a.current.in_amperes().total_cmp(&b.current.in_amperes()))
    }

    /// Largest current of one pole of an element over the normal state and every contingency.
    pub fn worst_on(&self, graph: &Graph, id: ElementId, pole: Pole) -> Option<Worst> {
        graph.conductor(id, pole).map(|at| self.worst_at(graph, at))
    }

    fn worst_at(&self, graph: &Graph, conductor: usize) -> Worst {
        let Extreme { value, lost } = self.extremes.current(conductor);
        Worst {
            current: amperes(value),
            pole: graph.conductors()[conductor].pole,
            lost,
        }
    }

    /// Voltage between the two conductors at the far end of a two-pole element, in the normal state.
    pub fn voltage(&self, graph: &Graph, id: ElementId) -> Option<Voltage> {
        let (a, b) = pair(graph, id)?;
        Some(volts(
            (self.normal.voltage[a] - self.normal.voltage[b]).norm(),
        ))
    }

    /// Share of its unloaded voltage that an element keeps at its far end, in the worst state: of all
    /// pairs of its conductors the lowest. `None` for what has fewer than two conductors or no voltage.
    pub fn lowest_share(&self, graph: &Graph, id: ElementId) -> Option<LowestShare> {
        let Extreme { value, lost } = self.extremes.voltage(id);
        let share = match pair(graph, id) {
            Some((a, b)) => value / (self.unloaded[a] - self.unloaded[b]).norm(),
            None => value,
        };
        share.is_finite().then(|| LowestShare {
            share: percent(100.0 * share),
            lost,
        })
    }

    /// The lowest voltage between the two conductors of a two-pole element at its far end, over the normal state and all
    /// losses, and what is lost then.
    pub fn lowest_voltage(&self, graph: &Graph, id: ElementId) -> Option<(Voltage, Option<Loss>)> {
        pair(graph, id)?;
        let Extreme { value, lost } = self.extremes.voltage(id);
        value.is_finite().then(|| (volts(value), lost))
    }

    /// Nominal voltage between the two conductors of a two-pole element: that of its supply.
    pub fn nominal_voltage(&self, graph: &Graph, id: ElementId) -> Option<Voltage> {
        let (a, b) = pair(graph, id)?;
        let voltage = (self.nominal[a] - self.nominal[b]).norm();
        (voltage > 0.0).then(|| volts(voltage))
    }

    /// Voltage of a line at its far end against the supply's neutral point, in the normal state.
    pub fn voltage_to_neutral(&self, graph: &Graph, id: ElementId, pole: Pole) -> Option<Voltage> {
        let at = graph.conductor(id, pole)?;
        Some(volts(self.normal.voltage[at].norm()))
    }

    /// Apparent power that an element delivers at its far end in the normal state; of two sequences
    /// the larger.
    pub fn normal_power(&self, graph: &Graph, id: ElementId) -> ApparentPower {
        if let ElementKind::Supply(supply) = graph.kind(id)
            && graph.feeds_supplies(id)
        {
            return volt_amperes(self.delivered(supply).norm());
        }
        let power = |state: &State| state.power(graph.conductors_of(id));
        let reverse = self.normal_reverse.as_ref().map_or(0.0, power);
        volt_amperes(power(&self.normal).max(reverse))
    }

    /// Watts and vars that a supply delivers in the normal state, to its circuits and to supplies that are fed from it;
    /// of two sequences the larger.
    pub fn delivered(&self, supply: Id<Supply>) -> Complex64 {
        self.delivered.total[supply.index()]
    }

    /// What a supply takes of the one that it is fed from.
    pub fn input(&self, supply: Id<Supply>) -> Input {
        self.inputs[supply.index()]
    }

    /// Largest apparent power that a supply delivers over the normal state and every contingency,
    /// and what makes it.
    pub fn worst_power(&self, supply: Id<Supply>) -> (ApparentPower, Option<Loss>) {
        let Extreme { value, lost } = self.extremes.power(supply.index());
        (volt_amperes(value), lost)
    }

    /// A device below the element whose load is not known, or does not reach the element for a reason that
    /// no finding tells: every sum there is then a lower bound, and has to be asked for.
    pub fn unknown_below(&self, id: ElementId) -> Option<Id<Device>> {
        self.unsummed.unknown[id.index()]
    }

    /// A device below the element whose load is known and in no sum there, because it hangs on poles of
    /// which a finding says that they are wrong.
    pub fn astray_below(&self, id: ElementId) -> Option<Id<Device>> {
        self.unsummed.astray[id.index()]
    }

    /// A device below the element whose load is in no sum there, for either reason.
    pub fn unsummed_below(&self, id: ElementId) -> Option<Id<Device>> {
        self.unknown_below(id).or(self.astray_below(id))
    }

    /// The loss (or the normal state, `None`) that makes the voltage collapse on `circuit`.
    pub fn collapses(&self, circuit: ElementId) -> Option<Option<Loss>> {
        self.extremes.collapse(circuit)
    }
}

/// Whether the conductor counts as a line: of a two-pole element both carry the same current.
fn is_line(graph: &Graph, id: ElementId, conductor: usize) -> bool {
    graph.conductors()[conductor].pole != Pole::N || graph.conductors_of(id).len() == 1
}

/// The two conductors of a two-pole element.
fn pair(graph: &Graph, id: ElementId) -> Option<(usize, usize)> {
    let range = graph.conductors_of(id);
    (range.len() == 2).then_some((range.start, range.start + 1))
}
