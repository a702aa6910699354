//! What supplies take of those that they are fed from. A transformer's windings and a UPS keep lines and harmonics
//! apart, so that ahead of a supply only watts and vars add up.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use num_complex::Complex64;

use crate::graph::Graph;
use crate::model::Model;
use crate::model::circuits::Supply;
use crate::model::value::{Field, Id};
use crate::quantity::InUnits;

/// What a supply takes for what it delivers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Input {
    /// Part of one that it delivers of what it takes; `None` where it is not known.
    pub efficiency: Option<f64>,
    /// Watts that its battery takes besides; `None` where they are not known.
    pub recharge: Option<f64>,
    /// Power factor of what it takes; `None` where it is not known.
    pub factor: Option<f64>,
}

impl Input {
    fn of(supply: &Supply) -> Self {
        let efficiency = supply.efficiency.known();
        let factor = supply.input_power_factor.known();
        Self {
            efficiency: efficiency.map(|share| share.in_parts_of_one()),
            recharge: supply.recharge.known().map(|power| power.in_watts()),
            factor: factor.map(|factor| factor.value()),
        }
    }

    /// Whether it passes on what it takes as it is: a switchboard.
    pub fn passes_on(&self) -> bool {
        self.efficiency == Some(1.0)
    }

    /// Watts and vars that it takes while it delivers so many; what is not known of it counts as none, so that they
    /// are a lower bound where something is.
    pub fn takes(&self, delivered: Complex64) -> Complex64 {
        let watts = delivered.re / self.efficiency.unwrap_or(1.0) + self.recharge.unwrap_or(0.0);
        let vars = match self.factor {
            Some(factor) => watts * (1.0 - factor * factor).max(0.0).sqrt() / factor,
            None if self.passes_on() => delivered.im,
            None => 0.0,
        };
        Complex64::new(watts, vars)
    }

    /// By how much more at the most what it takes changes than what it delivers.
    pub fn gain(&self) -> f64 {
        let gain = 1.0 / (self.efficiency.unwrap_or(1.0) * self.factor.unwrap_or(1.0));
        gain.max(1.0)
    }

    /// The keys of what is not known of it and bears on what it takes.
    pub fn unknown(&self, supply: &Supply) -> Vec<&'static str> {
        let must_be = !self.passes_on();
        let is_open = |known: bool, is_silent: bool| !known && (must_be || !is_silent);
        let keys = [
            ("efficiency", self.efficiency.is_none()),
            (
                "recharge",
                is_open(self.recharge.is_some(), is_absent(&supply.recharge)),
            ),
            (
                "input-power-factor",
                is_open(self.factor.is_some(), is_absent(&supply.input_power_factor)),
            ),
        ];
        let unknown = keys.into_iter().filter(|(_, is_unknown)| *is_unknown);
        unknown.map(|(key, _)| key).collect()
    }
}

fn is_absent<T>(field: &Field<T>) -> bool {
    matches!(field, Field::Absent)
}

/// What every supply of a site takes.
pub(super) fn inputs(model: &Model) -> Vec<Input> {
    let supplies = model.supplies.items().iter();
    supplies.map(|supply| Input::of(&supply.item)).collect()
}

/// What every supply delivers, to its circuits and to the supplies that are fed from it.
#[derive(Clone, Debug, Default)]
pub(super) struct Delivered {
    /// To its circuits.
    own: Vec<Complex64>,
    /// In all.
    pub total: Vec<Complex64>,
}

impl Delivered {
    /// From what each delivers to its circuits.
    pub fn of(graph: &Graph, inputs: &[Input], own: Vec<Complex64>) -> Self {
        let mut total = own.clone();
        for supply in graph.supplies_behind_first() {
            if let Some(source) = graph.source_of(supply) {
                let taken = inputs[supply.index()].takes(total[supply.index()]);
                total[source.index()] += taken;
            }
        }
        Self { own, total }
    }

    /// Takes the larger of two where another sequence of the lines delivers more.
    pub fn at_least(&mut self, other: &Self) {
        for (own, other) in self.total.iter_mut().zip(&other.total) {
            if other.norm_sqr() > own.norm_sqr() {
                *own = *other;
            }
        }
    }

    /// What supplies ahead of others deliver in another state, in which some deliver `changed` to their circuits
    /// and others are `dead`.
    pub fn ahead_with(
        &self,
        (graph, inputs): (&Graph, &[Input]),
        changed: &[(Id<Supply>, Complex64)],
        dead: &BTreeSet<Id<Supply>>,
    ) -> Vec<(Id<Supply>, Complex64)> {
        // By how far they are from the head, so that what is behind stands first.
        let mut open: BTreeMap<(Reverse<usize>, Id<Supply>), Complex64> = BTreeMap::new();
        let key = |supply: Id<Supply>| (Reverse(graph.sources_of(supply).count()), supply);
        for &(supply, own) in changed {
            *open.entry(key(supply)).or_default() += own - self.own[supply.index()];
        }
        for &supply in dead {
            open.entry(key(supply)).or_default();
        }
        let mut ahead = Vec::new();
        while let Some(((_, supply), more)) = open.pop_first() {
            let (before, input) = (self.total[supply.index()], inputs[supply.index()]);
            let is_dead = dead.contains(&supply);
            let now = match is_dead {
                true => Complex64::ZERO,
                false => input.takes(before + more),
            };
            if let Some(source) = graph.source_of(supply) {
                *open.entry(key(source)).or_default() += now - input.takes(before);
            }
            if !is_dead && !graph.behind(supply).is_empty() {
                ahead.push((supply, before + more));
            }
        }
        ahead
    }
}
