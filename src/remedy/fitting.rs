//! What can be fitted in the place of one cord, each with the edits that write it.

use crate::date::Date;
use crate::finding::Edit;
use crate::judgement::{Settings, Site};

use super::Choice;
use super::edits::Writing;
use super::search::search_one;
use super::trial::{CordTrials, standing};
use super::why_untried;

/// A cord that can be fitted in the place of another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fitting {
    /// What to fit, and what then still stands.
    pub words: String,
    /// Rules whose findings of the cord it puts right.
    pub puts_right: Vec<&'static str>,
    /// The edits that write it into the definitions.
    pub edits: Vec<Edit>,
}

/// What can be fitted in the place of the cord of this label, the most like it first, found in
/// `most_trials` judgements of the whole site or a few more.
///
/// Nothing is offered where a part of the site is not judged, where nothing is told of the cord, or
/// where its definition cannot be edited without touching another.
pub fn fittings(site: Site, today: Date, label: &str, most_trials: usize) -> Vec<Fitting> {
    let Some(cord) = site.model.cords.find(label) else {
        return Vec::new();
    };
    let (sources, untried) = (site.sources.clone(), why_untried(&site, &[]));
    let found = standing(&site.analysis(today));
    let mut fitted = CordTrials::new(site, found, &Settings::on(today));
    let refit = match untried {
        None => search_one(&mut fitted, cord, most_trials),
        Some(_) => None,
    };
    let Some(refit) = refit else {
        return Vec::new();
    };
    let writing = Writing::new(&sources, fitted.model());
    let fitting = |choice: &Choice| {
        Some(Fitting {
            words: refit.described(choice),
            puts_right: choice.puts_right.clone(),
            edits: writing.edits(&refit.cord, choice.fit)?,
        })
    };
    refit.choices.iter().filter_map(fitting).collect()
}
