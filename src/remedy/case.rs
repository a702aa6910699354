//! A cord with findings, and how far the search for another has come.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use crate::finding::{Finding, Verdict};
use crate::model::cords::{Cord, CordType};
use crate::model::value::{Id, Name};
use crate::rules::{self, Subject};

use super::candidates::{CandidateSearch, is_same_make};
use super::told_length::{retold, tells_another_length};
use super::trial::{CordTrials, Tried};
use super::{Choice, Fit, Refit};

/// Makes of cord that put everything right, after which no more are looked for.
const ENOUGH: usize = 3;

/// A cord with findings.
pub(super) struct Case {
    pub cord: Id<Cord>,
    /// Its findings.
    findings: Vec<Told>,
    /// What is still to be tried, the last first.
    fits: Vec<Fit>,
    /// Types that candidates are taken from.
    most_types: usize,
    /// To be tried again without its neighbours, the first first.
    again: Vec<Fit>,
    /// Those of them that put everything right so far as could be seen.
    promising: Vec<Fit>,
    /// What brings nothing new, and the findings that it puts right.
    good: Vec<(Fit, Vec<usize>)>,
    /// Whether a candidate brought something new that may not be due to it, or some are not looked at.
    is_unclear: bool,
}

/// A finding of a cord.
#[derive(Clone, Copy)]
struct Told {
    /// Its place among those of the site on trial.
    at: usize,
    /// Whether it is told of the cord's type.
    is_of_kind: bool,
}

/// The cords that broken findings are told of, be it by their type. What is wrong with the
/// definitions as written no other cord puts right.
pub(super) fn cases(fitted: &CordTrials, wanted: impl Fn(Id<Cord>) -> bool) -> Vec<Case> {
    let mut found: BTreeMap<Id<Cord>, Vec<Told>> = BTreeMap::new();
    let analysis = fitted.analysis();
    let mut of_kind: FxHashMap<Id<CordType>, Vec<Id<Cord>>> = FxHashMap::default();
    for (cord, kind) in analysis.graph.links.cord_types.iter().enumerate() {
        kind.iter()
            .for_each(|kind| of_kind.entry(*kind).or_default().push(Id::new(cord)));
    }
    for (at, finding) in fitted.findings().iter().enumerate() {
        if finding.verdict != Verdict::Broken
            || is_of_records(finding)
            || is_of_another_feed(finding)
        {
            continue;
        }
        let told = fitted.told_of(finding);
        let of_kinds = told.kinds.iter().filter_map(|kind| of_kind.get(kind));
        let of_kinds = of_kinds.flatten().map(|cord| (*cord, true));
        for (cord, is_of_kind) in told.cords.iter().map(|cord| (*cord, false)).chain(of_kinds) {
            found.entry(cord).or_default().push(Told { at, is_of_kind });
        }
    }
    let found = found.into_iter().filter(|(cord, _)| wanted(*cord));
    let found: Vec<_> = found.collect();
    let most_types = MOST_HELD
        .checked_div(found.len())
        .unwrap_or(0)
        .max(FEW_TYPES);
    found
        .into_iter()
        .map(|(cord, findings)| Case::new(fitted, cord, findings, most_types))
        .collect()
}

/// Whether a jacket has the colour of another feed than the cord is on: a sign that the cord is plugged in
/// wrong, which another jacket would only hide.
fn is_of_another_feed(finding: &Finding) -> bool {
    finding.rule == "feed-colour"
}

/// Types that are held against all cords together.
const MOST_HELD: usize = 500_000;
/// Types that are held against every cord, however many of both there are.
const FEW_TYPES: usize = 50;

fn candidates_for<'a>(
    fitted: &'a CordTrials,
    is_flawed: &'a dyn Fn(Id<CordType>) -> bool,
    most_types: usize,
) -> CandidateSearch<'a> {
    CandidateSearch {
        analysis: fitted.analysis(),
        is_flawed,
        most_types,
        most: fitted.most_trials(),
    }
}

fn is_of_records(finding: &Finding) -> bool {
    let rule = rules::find(finding.rule);
    rule.is_some_and(|rule| rule.subject == Subject::Records)
}

impl Case {
    fn new(fitted: &CordTrials, cord: Id<Cord>, findings: Vec<Told>, most_types: usize) -> Self {
        let is_flawed = |kind| fitted.is_flawed(kind);
        let plain = candidates_for(fitted, &is_flawed, most_types).plain(cord);
        let (mut fits, are_all) = (plain.fits, plain.are_all);
        fits.reverse();
        Self {
            cord,
            findings,
            fits,
            most_types,
            again: Vec::new(),
            promising: Vec::new(),
            good: Vec::new(),
            is_unclear: !are_all,
        }
    }

    /// Goes on to lengths cut from the stock where nothing else puts everything right.
    pub(super) fn widen(&mut self, fitted: &CordTrials) {
        if self.whole(fitted) == 0 && self.fits.is_empty() {
            let is_flawed = |kind| fitted.is_flawed(kind);
            let cut = candidates_for(fitted, &is_flawed, self.most_types).cut(self.cord);
            self.is_unclear |= !cut.are_all;
            self.fits = cut.fits;
            self.fits.reverse();
        }
    }

    /// What to try next; of what is tried without neighbours, what was found to be promising.
    pub(super) fn next(&mut self, fitted: &CordTrials, is_apart: bool) -> Option<Fit> {
        if self.whole(fitted) >= ENOUGH {
            return None;
        }
        match is_apart && !self.again.is_empty() {
            true => Some(self.again.remove(0)),
            false if is_apart || makes(fitted, &self.promising).len() < ENOUGH => self.fits.pop(),
            false => None,
        }
    }

    /// Notes what came of a candidate.
    pub(super) fn take(&mut self, fitted: &CordTrials, tried: &Tried, fit: Fit, is_apart: bool) {
        let is_clear = !tried.has_new(self.cord);
        let gone = self.gone(fitted, tried, fit);
        match (is_apart, is_clear) {
            (true, true) if !gone.is_empty() => self.good.push((fit, gone)),
            (true, false) => self.is_unclear |= tried.may_be_due_to_another(self.cord),
            (false, true) if !gone.is_empty() => {
                let is_whole = gone.len() == self.findings.len();
                self.promising.extend(is_whole.then_some(fit));
                self.again.push(fit);
            }
            (false, false) if tried.may_be_due_to_another(self.cord) => self.again.push(fit),
            _ => {}
        }
    }

    /// The findings that are told no more.
    fn gone(&self, fitted: &CordTrials, tried: &Tried, fit: Fit) -> Vec<usize> {
        let own = fitted.analysis().graph.links.cord_types[self.cord.index()];
        let is_gone = |told: &&Told| match told.is_of_kind {
            true => own != Some(fit.kind),
            false => tried.is_gone(&fitted.findings()[told.at]),
        };
        self.findings
            .iter()
            .filter(is_gone)
            .map(|told| told.at)
            .collect()
    }

    /// How many makes of cord were found that put everything right.
    fn whole(&self, fitted: &CordTrials) -> usize {
        let is_whole = |(_, gone): &&(Fit, Vec<usize>)| gone.len() == self.findings.len();
        let whole = self.good.iter().filter(is_whole);
        makes(fitted, &whole.map(|(fit, _)| *fit).collect::<Vec<_>>()).len()
    }

    /// What puts most right: of each make the length that was found first, the nearest one.
    fn best(&self, fitted: &CordTrials) -> Vec<Choice> {
        let most = self.good.iter().map(|(_, gone)| gone.len()).max();
        let best = self
            .good
            .iter()
            .filter(|(_, gone)| Some(gone.len()) == most);
        let fits: Vec<Fit> = best.clone().map(|(fit, _)| *fit).collect();
        let first = makes(fitted, &fits);
        best.filter(|(fit, _)| first.contains(fit))
            .map(|(fit, gone)| self.choice(fitted, *fit, gone))
            .collect()
    }

    fn choice(&self, fitted: &CordTrials, fit: Fit, gone: &[usize]) -> Choice {
        let kind = &fitted.model().cord_types[fit.kind];
        let left = self.findings.iter().map(|told| told.at);
        let left = rules_of(fitted, left.filter(|at| !gone.contains(at)));
        let mut puts_right = rules_of(fitted, gone.iter().copied());
        puts_right.retain(|rule| !left.contains(rule));
        let belied = fit
            .own_length
            .filter(|own| tells_another_length(&kind.name.value, *own));
        let new_kind = belied.and_then(|own| retold(&kind.name.value, own));
        let is_free = |name: &String| fitted.model().cord_types.find(name).is_none();
        Choice {
            new_kind: new_kind.filter(is_free).map(Name::from),
            kind: kind.name.value.clone(),
            length: fit.own_length.or(kind.length.known().copied()),
            is_own_length: fit.own_length.is_some(),
            puts_right,
            fit,
        }
    }

    /// What was found.
    pub(super) fn refit(&self, fitted: &CordTrials) -> Refit {
        let model = fitted.model();
        let cord = &model.cords[self.cord];
        let kind = fitted.analysis().graph.cord_type(model, self.cord);
        let is_exhausted = self.fits.is_empty() && self.again.is_empty();
        let usual = kind.and_then(|kind| kind.length.known().copied());
        Refit {
            cord: cord.name.value.clone(),
            span: cord.name.span,
            kind: cord.cord_type.known().cloned().unwrap_or_default(),
            length: cord.length.known().copied().or(usual),
            rules: rules_of(fitted, self.findings.iter().map(|told| told.at)),
            choices: self.best(fitted),
            is_searched: self.whole(fitted) >= ENOUGH || is_exhausted && !self.is_unclear,
            edits: Vec::new(),
        }
    }
}

/// The first of each make; cords that differ in length alone are of one.
fn makes(fitted: &CordTrials, fits: &[Fit]) -> Vec<Fit> {
    let types = &fitted.model().cord_types;
    let mut firsts: Vec<Fit> = Vec::new();
    for fit in fits {
        let is_known = firsts
            .iter()
            .any(|first| is_same_make(&types[first.kind], &types[fit.kind]));
        firsts.extend((!is_known).then_some(*fit));
    }
    firsts
}

/// The rules of findings, each once.
fn rules_of(fitted: &CordTrials, findings: impl Iterator<Item = usize>) -> Vec<&'static str> {
    let mut rules: Vec<_> = findings.map(|at| fitted.findings()[at].rule).collect();
    rules.sort_unstable();
    rules.dedup();
    rules
}
