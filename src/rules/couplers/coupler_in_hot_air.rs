//! `coupler-in-hot-air`: is a coupler in air in which its rating does not hold, or nearly at its
//! rating in air hotter than its standard counts on?

mod told;
mod unrated;

use crate::analysis::hot_air::{InHotAir, hottest_mean, in_hot_air};
use crate::analysis::{Analysis, exceeds};
use crate::finding::Finding;
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::model::value::Spanned;
use crate::quantity::{Current, Temperature};
use crate::rules::rule;

use super::halves::Half;
use super::unknown_load::UnknownLoads;
use told::too_much;
use unrated::Unrated;

rule!(
    "coupler-in-hot-air",
    Couplers,
    Warning,
    "A coupler loaded near its rating in air above 35 °C, or in air above 40 °C at all: its contacts age fast and may overheat."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (_, clause) = hottest_mean();
    let mut loads = UnknownLoads::default();
    let mut unrated = Unrated::default();
    for (id, _) in analysis.graph.elements() {
        for hot in in_hot_air(analysis, id) {
            unrated.meet(analysis, &hot);
        }
        if let Some(worst) = analysis.flows.worst(analysis.graph, id) {
            findings.extend(judged(analysis, id, worst, &mut loads, &mut unrated));
        }
    }
    let question = "is a coupler too near its rating for hot air";
    loads.report(analysis, &RULE, question, |_| clause.clone(), findings);
    findings.extend(unrated.findings());
}

/// A half that carries too much for the air it is in.
struct TooMuch<'a> {
    half: Half<'a>,
    air: Spanned<Temperature>,
    rating: Current,
    limit: InHotAir<'a>,
}

/// The half of an element that has the lowest limit, if that is too low for what it carries.
fn judged(
    analysis: &Analysis<'_>,
    id: ElementId,
    worst: Worst,
    loads: &mut UnknownLoads,
    unrated: &mut Unrated,
) -> Option<Finding> {
    let mut found: Option<TooMuch<'_>> = None;
    for hot in in_hot_air(analysis, id) {
        let Some((rating, limit)) = hot.limit(analysis) else {
            continue;
        };
        if !exceeds(worst.current, limit.current()) {
            loads.meet(analysis, id);
            continue;
        }
        // Above its rating it is overloaded in any air, which is told elsewhere.
        if exceeds(worst.current, rating) {
            return None;
        }
        let Some(air) = hot.air else {
            unrated.meet_unknown(analysis, &hot);
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
    Some(too_much(analysis, id, worst, &found?))
}
