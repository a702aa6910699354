//! `coupler-in-hot-air`: is a coupler in air in which its rating does not hold, or nearly at its
//! rating in air hotter than its standard counts on?

mod air;
mod declared;
mod told;
mod unrated;

use crate::finding::Finding;
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::model::value::Spanned;
use crate::quantity::{Current, Temperature};
use crate::rules::rule;
use crate::survey::{Survey, exceeds};
use crate::tables::couplers::Family;

use super::halves::Half;
use super::unknown_load::UnknownLoads;
use air::{Hot, hottest, hottest_mean, in_hot_air, share_in_hot_air};
use told::too_much;
use unrated::Unrated;

rule!(
    "coupler-in-hot-air",
    Couplers,
    Warning,
    "A coupler loaded near its rating in air above 35 °C, or in air above 40 °C at all: its contacts age fast and may overheat."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let (_, clause) = hottest_mean();
    let mut loads = UnknownLoads::default();
    let mut unrated = Unrated::default();
    for (id, _) in survey.graph.elements() {
        for hot in in_hot_air(survey, id) {
            unrated.meet(survey, &hot);
        }
        if let Some(worst) = survey.flows.worst(survey.graph, id) {
            findings.extend(judged(survey, id, worst, &mut loads, &mut unrated));
        }
    }
    let question = "a coupler is nearly at its rating in hot air";
    loads.report(survey, &RULE, question, |_| clause.clone(), findings);
    findings.extend(unrated.findings());
}

/// A half that carries too much for the air it is in.
struct TooMuch<'a> {
    half: Half<'a>,
    air: Spanned<Temperature>,
    rating: Current,
    limit: Limit<'a>,
}

/// What a half may carry in its air.
#[derive(Clone, Copy)]
enum Limit<'a> {
    /// A share of its rating.
    Share(Current),
    /// What its maker declares for this air.
    Declared(&'a Spanned<Current>),
}

impl Limit<'_> {
    fn current(self) -> Current {
        match self {
            Self::Share(current) => current,
            Self::Declared(current) => current.value,
        }
    }
}

/// The half of an element that has the lowest limit, if that is too low for what it carries.
fn judged(
    survey: &Survey<'_>,
    id: ElementId,
    worst: Worst,
    loads: &mut UnknownLoads,
    unrated: &mut Unrated,
) -> Option<Finding> {
    let mut found: Option<TooMuch<'_>> = None;
    for hot in in_hot_air(survey, id) {
        let Some((rating, limit)) = limit(survey, &hot) else {
            continue;
        };
        if !exceeds(worst.current, limit.current()) {
            loads.meet(survey, id);
            continue;
        }
        // Above its rating it is overloaded in any air, which is told elsewhere.
        if exceeds(worst.current, rating) {
            return None;
        }
        let Some(air) = hot.air else {
            unrated.meet_unknown(survey, &hot);
            continue;
        };
        let lowest = found.as_ref().map(|found| found.limit.current());
        if lowest.is_none_or(|lowest| limit.current() < lowest) {
            found = Some(TooMuch {
                half: hot.half,
                air,
                rating,
                limit,
            });
        }
    }
    Some(too_much(survey, id, worst, &found?))
}

/// The rating of a half, and what of it may be used in its air. Only where no plain rating holds does
/// the maker of a cord answer; a share of the rating was found for no other family than IEC 60320.
fn limit<'a>(survey: &Survey<'a>, hot: &Hot<'a>) -> Option<(Current, Limit<'a>)> {
    let family = hot.half.coupler.value.family;
    let plug = hot.plug.map(|plug| plug.coupler.value);
    let rating = survey.coupler_rating(hot.half.coupler.value, plug, hot.half.mark);
    let beyond = hot
        .air
        .filter(|air| hottest(family).is_some_and(|(limit, _)| air.value > limit));
    let declared = beyond.and_then(|air| declared::of_cord(survey, &hot.half, air.value));
    match declared {
        Some(declared) => Some((rating.current()?, Limit::Declared(declared))),
        None if family == Family::Iec60320 => {
            let (share, _) = share_in_hot_air();
            let rating = rating.current()?;
            Some((rating, Limit::Share(rating * share)))
        }
        None => None,
    }
}
