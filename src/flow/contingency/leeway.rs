//! Whether a small loss can make anything on a circuit worse than the great losses made it. Most cannot, and
//! need not be solved. What is left out here is proved to be harmless, never estimated to be.
//!
//! The proof. Let the loads of some taps change, by at most ΔI_c amperes each. Where no voltage between two
//! conductors falls or rises by more than the share D of itself, a load of constant power whose own power
//! stays changes its current I by at most I · D ÷ (1 − D), whatever the phases are. A current moves a voltage
//! by no more than itself times the resistance of the way that both have in common. So
//!
//! ```text
//! D · V ≤ Σ ΔI_c · R_c + Σ R · I · D ÷ (1 − D)
//! ```
//!
//! with R_c no less than what anything else has in common with the tap c; the last sum, without the
//! D ÷ (1 − D), is the drop that all loads would make if their currents added up as plain numbers, and its
//! largest share κ of any voltage is known beforehand. If D may be [`MOST`] it follows that
//! D ≤ Σ ΔI_c · R_c ÷ V ÷ (1 − κ ÷ (1 − MOST)); and where that is below [`MOST`], it holds, for on the way
//! from the one state to the other (all changes made little by little) D nowhere jumps.

use std::ops::Range;

use num_complex::Complex64;

use crate::flow::branch::Branch;
use crate::flow::network::NONE;
use crate::flow::sweep::State;
use crate::graph::{Dead, ElementId};

use super::felt::Felt;
use super::{Extreme, Given, lowest};

/// The largest share by which a voltage may change for the proof to hold.
const MOST: f64 = 0.05;
/// The largest part of a load's real power that its reactive power may be where taking a load off a line of
/// two poles is known to relieve all others: their currents then lag by angles that hardly differ.
const INDUCTIVE: f64 = 0.75;

/// What the worst of a circuit that is known leaves to further losses.
pub(super) struct Leeway<'a> {
    given: Given<'a>,
    branch: &'a Branch<'a>,
    /// What each tap takes.
    powers: &'a [Complex64],
    /// Normal current of each tap and its normal voltage, in amperes and volts.
    taps: Vec<(f64, f64)>,
    /// By conductor: what may be added to its normal current, in amperes.
    amperes: Vec<f64>,
    /// By conductor: the currents of all taps behind it as plain numbers, third harmonics on top.
    sums: Vec<f64>,
    /// By element: the share of its normal voltage that it may lose.
    falls: Vec<f64>,
    least_fall: f64,
    /// The least share by which all currents may grow at once.
    least_growth: f64,
    /// κ: the drop of all loads together as plain numbers, the largest share of any voltage.
    drop: f64,
    /// The lowest voltage between any two conductors, in volts.
    volts: f64,
    /// Whether all taps hang between the same two poles, and their currents lag by about the same.
    is_plain: bool,
}

/// The worst that is known of a circuit, by its conductors and its elements.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    pub current: &'a [Extreme],
    pub voltage: &'a [Extreme],
}

/// What a loss may make worse than it is known to get, as far as is proved.
#[derive(Clone, Copy)]
pub(super) struct Harm {
    /// Something on the circuit.
    pub here: bool,
    /// Its supply.
    pub above: bool,
}

/// What a loss does to a circuit at the most.
struct Bound {
    /// All changes of taps together, as plain numbers, in amperes.
    amperes: f64,
    /// The share of itself by which any voltage changes, but for those at the changed taps.
    share: f64,
    /// The same at each of the changed taps.
    own: Vec<f64>,
}

impl<'a> Leeway<'a> {
    /// Of a circuit in its `normal` state.
    pub fn new(
        given: Given<'a>,
        branch: &'a Branch<'a>,
        powers: &'a [Complex64],
        normal: &State,
        known: Known<'_>,
    ) -> Self {
        let across = |from: usize, to: usize| (normal.voltage[from] - normal.voltage[to]).norm();
        let taps = branch.taps.iter().zip(powers);
        let taps: Vec<(f64, f64)> = taps
            .map(|(tap, power)| {
                let volts = across(tap.from, tap.to);
                (power.norm() / volts, volts)
            })
            .collect();
        let mut leeway = Self {
            given,
            branch,
            powers,
            taps,
            amperes: Vec::new(),
            sums: vec![0.0; branch.conductors.len()],
            falls: Vec::new(),
            least_fall: f64::INFINITY,
            least_growth: f64::INFINITY,
            drop: 0.0,
            volts: f64::INFINITY,
            is_plain: false,
        };
        leeway.add_up();
        leeway.take_currents(normal, known.current);
        leeway.take_voltages(normal, known.voltage);
        let is_inductive =
            |power: &Complex64| power.im >= 0.0 && power.im <= INDUCTIVE * power.re.max(0.0);
        let poles = given.graph.conductors_of(ElementId(branch.elements.start));
        leeway.is_plain = poles.len() == 2 && leeway.drop < MOST && powers.iter().all(is_inductive);
        leeway
    }

    fn add_up(&mut self) {
        let taps = self.branch.taps.iter().zip(&self.taps);
        for (tap, (current, _)) in taps {
            let current = current * (1.0 + tap.third_harmonic);
            self.sums[tap.from] += current;
            self.sums[tap.to] += current;
        }
        for (at, feeder) in self.branch.feeders().enumerate().rev() {
            if let Some(feeder) = feeder {
                self.sums[feeder] += self.sums[at];
            }
        }
    }

    fn take_currents(&mut self, normal: &State, known: &[Extreme]) {
        let conductors = known.iter().enumerate();
        self.amperes
            .extend(conductors.map(|(at, known)| known.value - normal.magnitude(at)));
        let growths = self.amperes.iter().zip(&self.sums);
        let growths = growths.filter(|(_, sum)| **sum > 0.0);
        self.least_growth = growths
            .map(|(amperes, sum)| amperes / sum)
            .fold(f64::INFINITY, f64::min);
    }

    fn take_voltages(&mut self, normal: &State, known: &[Extreme]) {
        let Given { graph, network, .. } = self.given;
        let first = self.branch.conductors.start;
        let resistance = &network.resistance[self.branch.conductors.clone()];
        let mut drops = vec![0.0; self.sums.len()];
        for (at, feeder) in self.branch.feeders().enumerate() {
            drops[at] = feeder.map_or(0.0, |feeder| drops[feeder]) + resistance[at] * self.sums[at];
        }
        for (id, known) in self.branch.elements.clone().zip(known) {
            let range = graph.conductors_of(ElementId(id));
            let own = range.start - first..range.end - first;
            for (a, b) in own
                .clone()
                .flat_map(|a| (a + 1..own.end).map(move |b| (a, b)))
            {
                let volts = (normal.voltage[a] - normal.voltage[b]).norm();
                let is_live = network.unloaded[a + first] != network.unloaded[b + first];
                if is_live {
                    self.volts = self.volts.min(volts);
                    self.drop = self.drop.max((drops[a] + drops[b]) / volts);
                }
            }
            let now = lowest(&network.unloaded[range], &normal.voltage[own]);
            let fall = now.map_or(f64::INFINITY, |now| 1.0 - known.value / now);
            self.falls.push(fall);
            self.least_fall = self.least_fall.min(fall);
        }
    }

    /// What a loss may make worse; `head` are the amperes by which what the circuit takes of its supply may
    /// change without harm.
    pub fn harm(&self, felt: &Felt, head: f64) -> Harm {
        let bound = self.bound(felt).filter(|_| felt.transfers.is_empty());
        let Some(bound) = bound else {
            return Harm {
                here: true,
                above: true,
            };
        };
        let growth = bound.share / (1.0 - bound.share);
        let circuit = ElementId(self.branch.elements.start);
        let heads = self.given.graph.conductors_of(circuit).len();
        let all = self.sums[..heads].iter().copied().fold(0.0, f64::max);
        Harm {
            here: !self.relieves(felt) && !self.bears_here(felt, &bound),
            above: bound.amperes + all * growth > head,
        }
    }

    /// Between two poles what is taken off lets all voltages rise, and all currents fall.
    fn relieves(&self, felt: &Felt) -> bool {
        self.is_plain
            && felt
                .changes
                .iter()
                .all(|(_, power)| *power == Complex64::ZERO)
    }

    fn bears_here(&self, felt: &Felt, bound: &Bound) -> bool {
        let growth = bound.share / (1.0 - bound.share);
        if bound.share > self.least_fall || growth > self.least_growth {
            return false;
        }
        let dead = self.dead_conductors(felt);
        let taps = felt.changes.iter().zip(&bound.own);
        taps.into_iter().all(|(&(at, power), own)| {
            let tap = &self.branch.taps[at];
            let is_dead = dead.contains(&tap.from);
            let id = (tap.element.0 - self.branch.elements.start) as usize;
            let bears_tap = is_dead || (*own <= self.falls[id] && self.bears_tap(at, power, *own));
            let skip = usize::from(self.is_load_alone(tap.element));
            bears_tap
                && [tap.from, tap.to].into_iter().all(|from| {
                    let upwards = self.upwards(from).skip(skip);
                    let mut alive = upwards.filter(|at| !dead.contains(at));
                    alive.all(|at| bound.amperes + self.sums[at] * growth <= self.amperes[at])
                })
        })
    }

    /// Conductors of the circuit that are dead, as a range.
    fn dead_conductors(&self, felt: &Felt) -> Range<usize> {
        if felt.dead == Dead::NOTHING {
            return 0..0;
        }
        let (all, first) = (&self.branch.conductors, felt.lost.first());
        let dead = self.given.graph.conductors_below(first);
        dead.start - all.start..dead.end - all.start
    }

    /// A cord that has nothing but one load carries what that takes.
    fn bears_tap(&self, at: usize, power: Complex64, own: f64) -> bool {
        let tap = &self.branch.taps[at];
        let (now, volts) = self.taps[at];
        let more = power.norm() / (volts * (1.0 - own)) - now;
        let mut both = [tap.from, tap.to].into_iter();
        !self.is_load_alone(tap.element) || both.all(|at| more <= self.amperes[at])
    }

    fn is_load_alone(&self, id: ElementId) -> bool {
        self.given.network.is_load_alone(self.given.graph, id)
    }

    /// A conductor of the circuit and all that feed it.
    fn upwards(&self, from: usize) -> impl Iterator<Item = usize> + '_ {
        std::iter::successors(Some(from), |&at| self.branch.feeder(at))
    }

    /// `None` where nothing is proved.
    fn bound(&self, felt: &Felt) -> Option<Bound> {
        let first = self.bound_within(felt, &|_| MOST)?;
        let own = first.own;
        self.bound_within(felt, &|at| own[at])
    }

    /// What follows if the voltages at the changed taps change by no more than these shares.
    fn bound_within(&self, felt: &Felt, most: &dyn Fn(usize) -> f64) -> Option<Bound> {
        let left = 1.0 - self.drop / (1.0 - MOST);
        if !(left > 0.0 && self.volts.is_finite()) {
            return None;
        }
        let mut bound = Bound {
            amperes: 0.0,
            share: 0.0,
            own: Vec::with_capacity(felt.changes.len()),
        };
        for (number, &(at, power)) in felt.changes.iter().enumerate() {
            let more = self.more(at, power, most(number));
            bound.amperes += more * (1.0 + self.branch.taps[at].third_harmonic);
            let (shared, own) = self.ohms(at);
            bound.share += more * shared / self.volts / left;
            bound.own.push(more * (own - shared) / self.volts / left);
        }
        bound.own.iter_mut().for_each(|own| *own += bound.share);
        let largest = bound.own.iter().copied().fold(bound.share, f64::max);
        (largest < MOST).then_some(bound)
    }

    /// By how many amperes the current of a tap changes at the most where its voltage changes by this share.
    fn more(&self, at: usize, power: Complex64, share: f64) -> f64 {
        let (now, volts) = self.taps[at];
        if power == Complex64::ZERO {
            return now;
        }
        let of_power = (power - self.powers[at]).norm() / (volts * (1.0 - share));
        of_power + now * share / (1.0 - share)
    }

    /// What anything else has in common with a tap's way from the supply at the most, and the whole of that
    /// way, there and back.
    fn ohms(&self, at: usize) -> (f64, f64) {
        let tap = &self.branch.taps[at];
        let network = self.given.network;
        let above = |at: usize| network.resistance_above[at + self.branch.conductors.start];
        let own = above(tap.from) + above(tap.to);
        let up = |at: usize| match self.given.network.feeder[at + self.branch.conductors.start] {
            NONE => 0.0,
            feeder => network.resistance_above[feeder as usize],
        };
        match self.is_load_alone(tap.element) {
            true => (up(tap.from) + up(tap.to), own),
            false => (own, own),
        }
    }
}
