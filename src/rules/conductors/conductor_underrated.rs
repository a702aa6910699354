//! `conductor-underrated`: do the conductors carry the worst current that they meet?

mod coiled;
mod words;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::rules::rule;
use crate::survey::{Rating, Survey, exceeds};

use super::gaps::Gaps;

use coiled::{coiled, is_coiled};
use words::underrated;

rule!(
    "conductor-underrated",
    Conductors,
    Error,
    "Conductors that carry more than they may where they lie: the insulation softens, and the cord can start a fire."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut gaps = Gaps::of(&RULE);
    for (id, _) in survey.graph.elements() {
        let Some(worst) = survey.worst_of_any_conductor(id) else {
            continue;
        };
        let Some(capacity) = survey.capacity(id) else {
            gaps.miss_conductors(survey, (id, "can it carry its current"), basis());
            continue;
        };
        match capacity {
            Some(capacity) if exceeds(worst.current, capacity) => {
                findings.extend(underrated(survey, id, worst));
            }
            Some(capacity) => {
                if is_coiled(survey, id) {
                    findings.extend(coiled(survey, id, worst, capacity));
                }
                coiled::miss(survey, id, worst, capacity, &mut gaps);
                if let Some(device) = survey.flows.unknown_below(id) {
                    let what = "do the conductors carry their current on the way to";
                    gaps.miss_load(survey, device, what, basis());
                }
            }
            None => {
                let rating = survey.conductor_rating(id);
                let rating = rating.unwrap_or(Rating::missing("nothing is known of it"));
                let open = (id, "can it carry its current");
                gaps.miss_rating(survey, open, &rating, basis());
            }
        }
    }
    findings.extend(gaps.findings());
}

/// What a capacity is held against when no table could be asked.
fn basis() -> Citation {
    Citation::common_practice("no conductor may carry more than its capacity where it lies")
}

/// `8.20 A`, and which pole carries it where there are more than two.
fn on_pole(survey: &Survey<'_>, id: ElementId, current: &str, worst: Worst) -> String {
    if survey.graph.conductors_of(id).len() > 2 {
        format!("{current} on {}", worst.pole.word())
    } else {
        current.to_owned()
    }
}
