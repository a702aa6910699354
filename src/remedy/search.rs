//! The search for other cords, in two steps, so that a site is judged about as often as one cord has
//! candidates. First all cords with findings are tried at once, each with its next candidate. What
//! may do is then tried again while the neighbours stay as they are.

use crate::model::cords::Cord;
use crate::model::value::Id;

use super::Fit;
use super::Refit;
use super::case::{Case, cases};
use super::neighbours::apart;
use super::trial::CordTrials;

/// What a search came to.
pub(super) struct Searched {
    /// The cords that were looked at, each with what was found for it.
    pub refits: Vec<Refit>,
    /// Whether there was more to try than was allowed.
    pub is_cut_short: bool,
}

/// All cords with findings that another cord might put right.
pub(super) fn search(fitted: &mut CordTrials, most_trials: usize) -> Searched {
    let cases = cases(fitted, |_| true);
    searched(fitted, cases, most_trials)
}

/// The search for one cord; `None` if nothing is told of it that another cord might put right.
pub(super) fn search_one(
    fitted: &mut CordTrials,
    cord: Id<Cord>,
    most_trials: usize,
) -> Option<Refit> {
    let cases = cases(fitted, |other| other == cord);
    searched(fitted, cases, most_trials).refits.pop()
}

fn searched(fitted: &mut CordTrials, mut cases: Vec<Case>, most_trials: usize) -> Searched {
    let last = fitted.trials + most_trials;
    look(fitted, &mut cases, last);
    cases.iter_mut().for_each(|case| case.widen(fitted));
    look(fitted, &mut cases, last);
    let refits: Vec<Refit> = cases.iter().map(|case| case.refit(fitted)).collect();
    let is_searched = refits.iter().all(|refit| refit.is_searched);
    Searched {
        refits,
        is_cut_short: fitted.trials >= last && !is_searched,
    }
}

fn look(fitted: &mut CordTrials, cases: &mut [Case], last: usize) {
    let everyone: Vec<usize> = (0..cases.len()).collect();
    let is_alone = cases.len() == 1;
    run(fitted, cases, &everyone, last, is_alone);
    let cords: Vec<Id<Cord>> = cases.iter().map(|case| case.cord).collect();
    for group in apart(&fitted.analysis(), &cords) {
        run(fitted, cases, &group, last, true);
    }
}

/// Tries the next candidate of each case of a group, all at once, until none has any left; `is_apart`
/// if no two of them are neighbours.
fn run(fitted: &mut CordTrials, cases: &mut [Case], group: &[usize], last: usize, is_apart: bool) {
    while fitted.trials < last {
        let next = group
            .iter()
            .filter_map(|&at| Some((at, cases[at].next(fitted, is_apart)?)));
        let next: Vec<(usize, Fit)> = next.collect();
        if next.is_empty() {
            return;
        }
        let fits: Vec<_> = next
            .iter()
            .map(|(at, fit)| (cases[*at].cord, *fit))
            .collect();
        let tried = fitted.tried(&fits);
        for (at, fit) in next {
            cases[at].take(fitted, &tried, fit, is_apart);
        }
    }
}
