//! Which inlet at which outlet: first so that after any single loss no line carries more than it must, then
//! with as little cord as that allows.
//!
//! Annealing over moves and swaps, seeded, so that the same rack gets the same plan whatever the threads do. The search
//! never has the last word: what it finds is judged by all rules.

use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

use super::Objective;
use super::dice::Dice;
use super::heat::Heat;
use super::placing::{Aim, FURTHER_LENGTH, Placing};
use super::problem::{Problem, Way};

/// How much a search may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Effort {
    /// Moves of one round.
    pub moves: usize,
    /// How often it begins anew.
    pub rounds: u64,
    /// What the plan is to be best at.
    pub objective: Objective,
}

impl Effort {
    /// The same with so many moves, from one beginning.
    pub fn brief(self, moves: usize) -> Self {
        Self {
            moves,
            rounds: 1,
            ..self
        }
    }

    /// Metres that one more length of cord costs.
    pub fn further(self) -> f64 {
        match self.objective {
            Objective::FewestTypes => 1_000.0,
            Objective::Shortest => 0.0,
            Objective::Balanced | Objective::Cheapest | Objective::MostHeadroom => FURTHER_LENGTH,
        }
    }
}

/// Lengths that are weighed against each other at most: a set of them is tried for each choice.
const MOST_LENGTHS: usize = 12;
/// Sets of lengths that are tried at most.
const MOST_SETS: usize = 12;
/// Lengths in one plan at most: whoever fits them tells three apart (common practice).
const FEW_LENGTHS: u32 = 3;
/// How far above the least load of a line the load may lie for the sake of shorter cords.
const SLACK: f64 = 1.003;

/// The outlet of each want, and the length of its cord by its number; `None` where it has none.
pub(super) type Places = Vec<Option<(usize, usize)>>;

/// A rack planned for the least load, and how much of that may be given up for shorter cords.
#[derive(Clone, Debug)]
pub(super) struct Levelled<'p> {
    problem: &'p Problem,
    placing: Placing<'p>,
    /// What the largest line of each strip may carry.
    caps: Vec<f64>,
}

impl<'p> Levelled<'p> {
    /// The plan of a rack that loads its lines least.
    pub fn of(problem: &'p Problem, effort: Effort) -> Self {
        let placing = levelled(problem, effort);
        let tops = placing.tops();
        let least = (0..tops.len()).map(|strip| problem.least_line(&placing.at, strip));
        let caps = least
            .zip(&tops)
            .map(|(least, top)| top.max(least * SLACK))
            .collect();
        Self {
            problem,
            placing,
            caps,
        }
    }

    /// The same with as little cord of these lengths as the loads allow.
    pub fn shortened(&self, allowed: u64, effort: Effort) -> Shortened<'p> {
        let placing = shortened(self, allowed, effort);
        let cost = placing.cost(Aim::Short, &self.caps);
        Shortened {
            cost: cost - placing.lengths() as f64 * effort.further(),
            placing,
        }
    }

    /// As it is, whatever its lengths.
    pub fn places(&self) -> Places {
        places(&self.placing)
    }
}

/// A rack planned with few lengths.
#[derive(Clone, Debug)]
pub(super) struct Shortened<'p> {
    placing: Placing<'p>,
    /// What it costs, but for the number of its lengths.
    pub cost: f64,
}

impl Shortened<'_> {
    pub fn places(&self) -> Places {
        places(&self.placing)
    }

    /// Its lengths, a bit for each.
    pub fn lengths(&self) -> u64 {
        self.placing.used()
    }
}

fn places(placing: &Placing<'_>) -> Places {
    let each = placing.at.iter().enumerate();
    each.map(|(want, outlet)| {
        let outlet = (*outlet)?;
        Some((outlet, placing.length(want, outlet)?))
    })
    .collect()
}

/// The plan with the least loads, from several beginnings.
fn levelled(problem: &Problem, effort: Effort) -> Placing<'_> {
    let start = greedy(problem);
    let rounds = (0..effort.rounds).map(|seed| {
        let mut placing = start.clone();
        let heat = Heat::from(3.0, 2e-4, effort.moves);
        anneal(
            &mut placing,
            (Aim::Level, &[]),
            heat,
            effort.moves,
            Dice::new(seed),
        );
        placing
    });
    let all = std::iter::once(start.clone()).chain(rounds);
    cheapest(all, Aim::Level, &[]).unwrap_or(start)
}

/// The plan with the least cord within the caps, of some lengths alone: from the shortest cords of all, whatever
/// they load, and from the least loads.
fn shortened<'p>(level: &Levelled<'p>, allowed: u64, effort: Effort) -> Placing<'p> {
    let (problem, caps, further) = (level.problem, &level.caps, effort.further());
    let mut from_level = Placing::with_lengths(problem, allowed, further);
    for (want, outlet) in level.placing.at.iter().enumerate() {
        let outlet = outlet.filter(|outlet| from_level.length(want, *outlet).is_some());
        outlet
            .into_iter()
            .for_each(|outlet| from_level.put(want, outlet));
    }
    let from_short = shortest(problem, allowed, further);
    let starts = from_short.into_iter().chain([from_level]);
    let all = starts.flat_map(|start| {
        (0..effort.rounds).map(move |seed| {
            let mut placing = start.clone();
            warm(&mut placing, caps, effort.moves, Dice::new(seed ^ allowed));
            placing
        })
    });
    cheapest(all, Aim::Short, caps).unwrap_or_else(|| level.placing.clone())
}

/// The sets of few lengths that all racks together could do with, a bit for each length: those first with which
/// no plan could cost less.
pub(super) fn length_sets(problems: &[(&Problem, usize)], further: f64) -> Vec<u64> {
    let lengths = problems
        .iter()
        .map(|(problem, _)| problem.lengths.len())
        .max();
    let lengths = lengths.unwrap_or(0).min(MOST_LENGTHS);
    let sets = 1_u64..1 << lengths;
    let few = sets.filter(|set| set.count_ones() <= FEW_LENGTHS);
    let mut bounded: Vec<(f64, u64)> = few
        .filter_map(|set| {
            let each = problems
                .iter()
                .map(|(problem, count)| Some(least_cost(problem, set)? * *count as f64));
            let sum: f64 = each.sum::<Option<f64>>()?;
            Some((sum + f64::from(set.count_ones()) * further, set))
        })
        .collect();
    bounded.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    bounded.truncate(MOST_SETS);
    bounded.into_iter().map(|(_, set)| set).collect()
}

/// No plan with these lengths costs less: each cord at its best outlet. `None` where a cord that some length
/// reaches is reached by none of these.
fn least_cost(problem: &Problem, allowed: u64) -> Option<f64> {
    let placing = Placing::with_lengths(problem, allowed, 0.0);
    let mut sum = 0.0;
    for (want, ways) in problem.ways.iter().enumerate() {
        if !ways.iter().any(|way| way.is_some()) {
            continue;
        }
        let outlets = 0..problem.outlets.len();
        let lengths = outlets.filter_map(|outlet| placing.length(want, outlet));
        sum += problem.lengths[lengths.min()?];
    }
    Some(sum)
}

/// Heaviest first, each where it leaves the least on its lines.
fn greedy(problem: &Problem) -> Placing<'_> {
    let mut placing = Placing::new(problem);
    let mut order: Vec<usize> = (0..problem.wants.len()).collect();
    order.sort_by(|a, b| {
        let draws = |want: &usize| problem.wants[*want].draws;
        draws(b).total_cmp(&draws(a)).then(a.cmp(b))
    });
    for want in order {
        let free = (0..problem.outlets.len()).filter(|outlet| {
            placing.who(*outlet).is_none() && problem.ways[want][*outlet].is_some()
        });
        let cost = |outlet: usize| {
            let mut tried = placing.clone();
            tried.put(want, outlet);
            tried.cost(Aim::Level, &[])
        };
        let best = free.map(|outlet| (cost(outlet), outlet));
        let best = best.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        best.into_iter()
            .for_each(|(_, outlet)| placing.put(want, outlet));
    }
    placing
}

/// Every cord as short as can be, loads left aside; `None` where no such plan gives every want an outlet.
fn shortest(problem: &Problem, allowed: u64, further: f64) -> Option<Placing<'_>> {
    const OUT_OF_REACH: i64 = 1_000_000_000;
    if problem.wants.is_empty() || problem.wants.len() > problem.outlets.len() {
        return None;
    }
    let mut placing = Placing::with_lengths(problem, allowed, further);
    let millimetres = |want: usize, outlet: usize| match placing.length(want, outlet) {
        Some(length) => {
            let larger = matches!(
                problem.ways[want][outlet],
                Way::Some {
                    is_larger: true,
                    ..
                }
            );
            (problem.lengths[length] * 1000.0) as i64 + i64::from(larger) * 5_000
        }
        None => OUT_OF_REACH,
    };
    let size = (problem.wants.len(), problem.outlets.len());
    let matrix = Matrix::from_fn(size.0, size.1, |(want, outlet)| millimetres(want, outlet));
    let (_, outlets) = kuhn_munkres_min(&matrix);
    for (want, outlet) in outlets.into_iter().enumerate() {
        placing.length(want, outlet)?;
        placing.put(want, outlet);
    }
    Some(placing)
}

fn warm(placing: &mut Placing<'_>, caps: &[f64], moves: usize, dice: Dice) {
    let heat = Heat::from(1.0, 0.02, moves);
    anneal(placing, (Aim::Short, caps), heat, moves, dice);
}

/// The cheapest plan; of equal ones the first.
fn cheapest<'p>(
    all: impl Iterator<Item = Placing<'p>>,
    aim: Aim,
    caps: &[f64],
) -> Option<Placing<'p>> {
    let priced = all.map(|placing| {
        let placing = placing.afresh();
        (placing.cost(aim, caps), placing)
    });
    let best = priced.reduce(|a, b| if b.0 < a.0 - 1e-9 { b } else { a });
    best.map(|(_, placing)| placing)
}

fn anneal(
    placing: &mut Placing<'_>,
    (aim, caps): (Aim, &[f64]),
    mut heat: Heat,
    moves: usize,
    mut dice: Dice,
) {
    let options = placing.options();
    if options.is_empty() {
        return;
    }
    let mut now = placing.cost(aim, caps);
    let (mut least, mut best) = (now, placing.at.clone());
    for _ in 0..moves {
        heat.cool();
        let (want, outlets) = &options[dice.below(options.len())];
        let (want, to) = (*want, outlets[dice.below(outlets.len())]);
        let Some(undo) = placing.exchange(want, to) else {
            continue;
        };
        let then = placing.cost(aim, caps);
        if then <= now || heat.takes(then - now, dice.share()) {
            now = then;
            if now < least - 1e-9 {
                (least, best) = (now, placing.at.clone());
            }
        } else {
            placing.undo(undo);
        }
    }
    placing.set(&best);
}
