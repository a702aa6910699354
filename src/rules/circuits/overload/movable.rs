//! The loads that make up the current of an overloaded element, and what is left without some of them.

use std::collections::{BTreeMap, BTreeSet};

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::graph::{ElementId, ElementKind, Loss, Receiver};
use crate::model::circuits::Pole;
use crate::model::cords::Cord;
use crate::model::value::Id;
use crate::quantity::{InUnits, Length};
use crate::rules::circuits::contribution::{self, Tap};
use crate::rules::circuits::way::Carried;

use super::effort::Effort;

/// A load that may move, with its cord.
#[derive(Clone)]
pub(super) struct Load<'a> {
    pub cord: Id<Cord>,
    /// The inlet at its other end.
    pub end: Receiver,
    /// Its length, where that is known.
    pub length: Option<Length>,
    /// The coupler that its cord is plugged into.
    pub coupler: &'a str,
    /// What it takes where it is, in amperes, at the most.
    pub amperes: f64,
    /// What it takes at the most where it is moved to, in amperes.
    pub needed: f64,
    /// What the other inlets of its device fall with and it does not: there it must not go.
    pub apart: BTreeSet<Loss>,
    /// What it takes in each state that is watched.
    currents: Vec<Complex64>,
}

/// The currents of an element in every state in which one of its lines is overloaded, and the loads in
/// them that may move.
#[derive(Clone)]
pub(super) struct MovableLoads<'a> {
    element: ElementId,
    loads: Vec<Load<'a>>,
    sums: Vec<Complex64>,
    /// What the voltage drop of wiring and cords makes of a sum.
    for_the_drop: f64,
}

impl<'a> MovableLoads<'a> {
    /// Without loads where so many of the largest would not be enough.
    pub fn of(
        analysis: &Analysis<'a>,
        carried: &Carried,
        limit: f64,
        most: usize,
        effort: &Effort,
    ) -> Self {
        let size = analysis.graph.below(carried.id).len();
        let phasors = |(pole, lost)| contribution::phasors(analysis, carried.id, pole, lost);
        let sum = |phasors: &[(Tap, Complex64)]| -> Complex64 {
            phasors.iter().map(|(_, current)| current).sum()
        };
        let told = phasors((carried.pole, carried.lost));
        let for_the_drop = carried.current.in_amperes() / sum(&told).norm();
        let mut movable = Self {
            element: carried.id,
            loads: Vec::new(),
            sums: Vec::new(),
            for_the_drop,
        };
        if carried.current.in_amperes() - largest(&told, most) * for_the_drop > limit {
            movable.sums.push(sum(&told));
            return movable;
        }
        let mut places = BTreeMap::new();
        for state in states(analysis, carried) {
            effort.spend(size);
            if effort.is_spent() {
                break;
            }
            let phasors = phasors(state);
            let sum = sum(&phasors);
            if sum.norm() * for_the_drop > limit {
                movable.watch(analysis, &phasors, &mut places);
                movable.sums.push(sum);
            }
        }
        movable
    }

    /// How many loads there are, in how many states.
    pub fn size(&self) -> usize {
        self.loads.len() * self.sums.len()
    }

    /// Adds the loads of one more state.
    fn watch(
        &mut self,
        analysis: &Analysis<'a>,
        phasors: &[(Tap, Complex64)],
        places: &mut BTreeMap<ElementId, usize>,
    ) {
        for (tap, current) in phasors {
            let place = places.get(&tap.element).copied().or_else(|| {
                self.loads.push(Load::of(analysis, self.element, tap)?);
                places.insert(tap.element, self.loads.len() - 1);
                Some(self.loads.len() - 1)
            });
            if let Some(load) = place.map(|place| &mut self.loads[place]) {
                load.currents.resize(self.sums.len(), Complex64::ZERO);
                load.currents.push(*current);
                load.amperes = load.amperes.max(tap.amperes());
            }
        }
    }

    /// What is carried in the worst of them, in amperes.
    pub fn amperes(&self) -> f64 {
        let worst = self.sums.iter().map(|sum| sum.norm());
        worst.fold(0.0, f64::max) * self.for_the_drop
    }

    /// The same without a load.
    fn without(&self, load: &Load<'_>) -> f64 {
        let currents = load.currents.iter().copied();
        let currents = currents.chain(std::iter::repeat(Complex64::ZERO));
        let left = self.sums.iter().zip(currents);
        let left = left.map(|(sum, current)| (sum - current).norm());
        left.fold(0.0, f64::max) * self.for_the_drop
    }

    pub fn load(&self, at: usize) -> &Load<'a> {
        &self.loads[at]
    }

    /// The loads that bring it down: the one that brings it by the least to `limit` first, the others from
    /// the greatest on.
    pub fn in_order(&self, limit: f64) -> Vec<usize> {
        let loads = self.loads.iter().map(|load| self.without(load)).enumerate();
        let mut left: Vec<(usize, f64)> = loads.collect();
        left.sort_by(|a, b| b.1.total_cmp(&a.1));
        let enough = left.partition_point(|(_, left)| *left > limit);
        let (few, many) = left.split_at(enough);
        let order = many.iter().chain(few.iter().rev());
        order.map(|(at, _)| *at).collect()
    }

    /// Takes a load off.
    pub fn take_off(&mut self, at: usize) -> Load<'a> {
        let load = self.loads.remove(at);
        for (sum, current) in self.sums.iter_mut().zip(&load.currents) {
            *sum -= current;
        }
        load
    }
}

/// What so many of the largest loads take together, in amperes.
fn largest(phasors: &[(Tap, Complex64)], most: usize) -> f64 {
    let mut amperes: Vec<f64> = phasors.iter().map(|(tap, _)| tap.amperes()).collect();
    amperes.sort_by(|a, b| b.total_cmp(a));
    amperes.into_iter().take(most).sum()
}

/// Every line of the element, in the normal state and after each loss that moves load to it, but for those
/// of single cords.
fn states(analysis: &Analysis<'_>, carried: &Carried) -> Vec<(Pole, Option<Loss>)> {
    let graph = analysis.graph;
    let mut losses = BTreeSet::from([None, carried.lost]);
    let mut devices = BTreeSet::new();
    for element in graph.below(carried.id) {
        let Some(&Receiver::Inlet(number)) = graph.receiver(ElementId(element)) else {
            continue;
        };
        let device = graph.links.inlets[number as usize].device;
        if !devices.insert(device) {
            continue;
        }
        let feeders = graph.links.inlets_of(device);
        let feeders = feeders.filter_map(|(_, link)| graph.feeding(link));
        let above = feeders.flat_map(|feeder| graph.losses_of(feeder).skip(1));
        losses.extend(above.map(Some));
    }
    let is_above =
        |lost: &Option<Loss>| lost.is_some_and(|lost| graph.is_dead_after(carried.id, lost));
    losses.retain(|lost| !is_above(lost));
    let lines = || graph.poles(carried.id).filter(|pole| *pole != Pole::N);
    let of_loss = |lost| lines().map(move |line| (line, lost));
    // Of two poles both carry the same.
    let mut states: Vec<_> = losses.into_iter().flat_map(of_loss).collect();
    if graph.conductors_of(carried.id).len() == 2 {
        states.retain(|(pole, _)| *pole == carried.pole);
    }
    states
}

impl<'a> Load<'a> {
    /// `None` for legs, for transfer switches and what hangs behind them, for what takes along things that are plugged
    /// into its device, and where another inlet of
    /// the device hangs on the same element: when what the one has moved to is lost, the other has all of it.
    fn of(analysis: &Analysis<'a>, element: ElementId, tap: &Tap) -> Option<Self> {
        let graph = analysis.graph;
        let ElementKind::Cord(cord) = graph.kind(tap.element) else {
            return None;
        };
        let takes_along = graph.below(tap.element).len() > 1;
        // What hangs behind a switch would go along by its other inlet, or lose its second way.
        let is_switch = graph.switch_of(tap.device).is_some();
        if is_switch || graph.switches_above(tap.element).next().is_some() {
            return None;
        }
        if takes_along || others(analysis, tap).any(|other| graph.is_below(other, element)) {
            return None;
        }
        let outlet = analysis.outlet_of(cord)?;
        Some(Self {
            cord,
            end: *graph.receiver(tap.element)?,
            length: analysis.length_of(cord, None),
            coupler: outlet.coupler.known()?.name.as_str(),
            amperes: 0.0,
            needed: most_amperes(analysis, tap),
            apart: apart(analysis, tap),
            currents: Vec::new(),
        })
    }
}

fn apart(analysis: &Analysis<'_>, tap: &Tap) -> BTreeSet<Loss> {
    let graph = analysis.graph;
    let losses = others(analysis, tap).flat_map(|other| graph.losses_of(other));
    losses
        .filter(|lost| !graph.is_dead_after(tap.element, *lost))
        .collect()
}

/// What feeds the other inlets of a device.
fn others<'s>(analysis: &'s Analysis<'_>, tap: &Tap) -> impl Iterator<Item = ElementId> + 's {
    let (graph, own) = (analysis.graph, tap.element);
    let inlets = graph.links.inlets_of(tap.device);
    let feeders = inlets.filter_map(|(_, link)| graph.feeding(link));
    feeders.filter(move |feeder| *feeder != own)
}

/// What the current of a load may grow by where it is moved to, since the voltage there is lower then: more
/// than the drop of any way that is not told itself (common practice).
const FOR_THE_DROP: f64 = 1.05;

/// What a load takes at the most where it is moved to: all of its device's where other inlets may be lost.
fn most_amperes(analysis: &Analysis<'_>, tap: &Tap) -> f64 {
    let most = if others(analysis, tap).next().is_some() {
        analysis.flows.loads.device(tap.device).power.norm() / tap.volts
    } else {
        tap.amperes()
    };
    most * FOR_THE_DROP
}
