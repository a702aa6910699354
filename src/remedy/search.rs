//! The search for other cords, in two steps, so that a site is judged about as often as one cord has
//! candidates. First all cords with findings are tried at once, each with its next candidate. What
//! may do is then tried again while the neighbours stay as they are.

use crate::model::cords::Cord;
use crate::model::value::Id;

use super::Fit;
use super::Refit;
use super::case::{Case, cases};
use super::neighbours::apart;
use super::trial::Bench;

/// What a search came to.
pub(super) struct Searched {
    /// The cords that were looked at, each with what was found for it.
    pub refits: Vec<Refit>,
    /// Whether there was more to try than was allowed.
    pub is_cut_short: bool,
}

/// All cords with findings that another cord might put right.
pub(super) fn search(bench: &mut Bench, most_trials: usize) -> Searched {
    let cases = cases(bench, |_| true);
    searched(bench, cases, most_trials)
}

/// The search for one cord; `None` if nothing is told of it that another cord might put right.
pub(super) fn search_one(bench: &mut Bench, cord: Id<Cord>, most_trials: usize) -> Option<Refit> {
    let cases = cases(bench, |other| other == cord);
    searched(bench, cases, most_trials).refits.pop()
}

fn searched(bench: &mut Bench, mut cases: Vec<Case>, most_trials: usize) -> Searched {
    let last = bench.trials + most_trials;
    look(bench, &mut cases, last);
    cases.iter_mut().for_each(|case| case.widen(bench));
    look(bench, &mut cases, last);
    let refits: Vec<Refit> = cases.iter().map(|case| case.refit(bench)).collect();
    let is_searched = refits.iter().all(|refit| refit.is_searched);
    Searched {
        refits,
        is_cut_short: bench.trials >= last && !is_searched,
    }
}

fn look(bench: &mut Bench, cases: &mut [Case], last: usize) {
    let everyone: Vec<usize> = (0..cases.len()).collect();
    let is_alone = cases.len() == 1;
    run(bench, cases, &everyone, last, is_alone);
    let cords: Vec<Id<Cord>> = cases.iter().map(|case| case.cord).collect();
    for group in apart(&bench.survey(), &cords) {
        run(bench, cases, &group, last, true);
    }
}

/// Tries the next candidate of each case of a group, all at once, until none has any left; `is_apart`
/// if no two of them are neighbours.
fn run(bench: &mut Bench, cases: &mut [Case], group: &[usize], last: usize, is_apart: bool) {
    while bench.trials < last {
        let next = group
            .iter()
            .filter_map(|&at| Some((at, cases[at].next(bench, is_apart)?)));
        let next: Vec<(usize, Fit)> = next.collect();
        if next.is_empty() {
            return;
        }
        let fits: Vec<_> = next
            .iter()
            .map(|(at, fit)| (cases[*at].cord, *fit))
            .collect();
        let tried = bench.tried(&fits);
        for (at, fit) in next {
            cases[at].take(bench, &tried, fit, is_apart);
        }
    }
}
