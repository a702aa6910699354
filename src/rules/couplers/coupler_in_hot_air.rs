//! `coupler-in-hot-air`: is a coupler nearly at its rating in air hotter than its standard counts on?

mod air;
mod told;

use crate::finding::Finding;
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::model::value::Spanned;
use crate::quantity::{Current, Temperature};
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, exceeds};
use crate::tables::couplers::Family;

use super::halves::{Half, pairs};
use super::unknown_load::UnknownLoads;
use air::{air_at, gap, hottest_mean, share_in_hot_air};
use told::too_hot;

rule!(
    "coupler-in-hot-air",
    Couplers,
    Warning,
    "A coupler loaded near its rating in air above 35 °C: its contacts age fast and may overheat."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    if survey.practice().is_none() {
        return;
    }
    let (_, clause) = hottest_mean();
    let mut unknown = Unknown::default();
    for id in survey.odd_elements(|id| in_hot_air(survey, id).next().is_some()) {
        let Some(worst) = survey.flows.worst(survey.graph, id) else {
            continue;
        };
        findings.extend(judged(survey, id, worst, &mut unknown));
    }
    let question = "a coupler is nearly at its rating in hot air";
    unknown
        .loads
        .report(survey, &RULE, question, |_| clause.clone(), findings);
    findings.extend(unknown.air.findings());
}

/// The air at a coupler is not known.
fn air_missing(survey: &Survey<'_>, id: ElementId, half: &Half<'_>, at: Span) -> Draft {
    let headline = format!(
        "whether the air at {} is too hot for its load cannot be said: the air temperature is missing",
        half.what(survey)
    );
    let (_, clause) = hottest_mean();
    Draft::new(
        &RULE,
        headline,
        at,
        "not decided: the ambient is missing",
        clause,
    )
    .open()
    .about([survey.full_name(id)])
    .kind("air")
    .advice("Write the zone's `ambient`: the air at the couplers, on the hot side of the rack.")
}

/// What stays open: by device its load, by zone its air.
#[derive(Default)]
struct Unknown {
    loads: UnknownLoads,
    air: ToldOnce<Span>,
}

/// The half of an element that is nearest to its rating, if it is too near for the air it is in.
fn judged(
    survey: &Survey<'_>,
    id: ElementId,
    worst: Worst,
    unknown: &mut Unknown,
) -> Option<Finding> {
    let (share, _) = share_in_hot_air();
    let mut found: Option<(Half<'_>, Spanned<Temperature>, Current)> = None;
    for (half, air, rating) in in_hot_air(survey, id) {
        if !exceeds(worst.current, rating * share) {
            unknown.loads.meet(survey, id);
            continue;
        }
        // Above its rating it is overloaded in any air, which is told elsewhere.
        if exceeds(worst.current, rating) {
            return None;
        }
        match air {
            None => {
                let at = gap(survey, &half);
                let told = unknown.air.tell(at, || air_missing(survey, id, &half, at));
                told.suffered_by([survey.full_name(id)]);
            }
            Some(air) => {
                if found.is_none_or(|(_, _, lowest)| rating < lowest) {
                    found = Some((half, air, rating));
                }
            }
        }
    }
    let (half, air, rating) = found?;
    Some(too_hot(survey, id, worst, &half, air, rating))
}

/// A half in hot air, or in air that nobody gives, with its rating.
type InHotAir<'a> = (Half<'a>, Option<Spanned<Temperature>>, Current);

fn in_hot_air<'a>(survey: &Survey<'a>, id: ElementId) -> impl Iterator<Item = InHotAir<'a>> {
    let survey = *survey;
    let (limit, _) = hottest_mean();
    pairs(&survey, id).flat_map(move |pair| {
        let plug = pair.pins.map(|pins| pins.coupler.value);
        pair.halves().filter_map(move |half| {
            let is_appliance_coupler = half.coupler.value.family == Family::Iec60320;
            let air = air_at(&survey, &half);
            let is_cool = air.is_some_and(|air| air.value <= limit);
            if !is_appliance_coupler || is_cool {
                return None;
            }
            let rating = survey.coupler_rating(half.coupler.value, plug, half.mark);
            Some((half, air, rating.current()?))
        })
    })
}
