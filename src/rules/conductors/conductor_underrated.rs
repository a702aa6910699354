//! `conductor-underrated`: do the conductors carry the worst current that they meet?

mod coiled;
mod words;

use crate::analysis::{Analysis, Rating, exceeds};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::rules::rule;

use super::gaps::Gaps;

use coiled::{coiled, is_coiled};
use words::underrated;

rule!(
    "conductor-underrated",
    Conductors,
    Error,
    "Conductors that carry more than they may where they lie: the insulation softens, and the cord can start a fire."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut gaps = Gaps::of(&RULE);
    for (id, _) in analysis.graph.elements() {
        let Some(worst) = analysis.worst_of_any_conductor(id) else {
            continue;
        };
        let Some(capacity) = analysis.capacity(id) else {
            gaps.miss_conductors(analysis, (id, "can it carry its current"), basis());
            continue;
        };
        match capacity {
            Some(capacity) if exceeds(worst.current, capacity) => {
                let idle = analysis.with_idle_neutral(id);
                match idle.filter(|(idle, _)| !exceeds(worst.current, *idle)) {
                    Some((_, facts)) => {
                        let open = (id, "can it carry its current");
                        gaps.miss_harmonics(analysis, open, facts, basis());
                    }
                    None => findings.extend(underrated(analysis, id, worst)),
                }
            }
            Some(capacity) => {
                if is_coiled(analysis, id) {
                    findings.extend(coiled(analysis, id, worst, capacity));
                }
                coiled::miss(analysis, id, worst, capacity, &mut gaps);
                if let Some(device) = analysis.flows.unknown_below(id) {
                    let what = "do the conductors carry their current on the way to";
                    gaps.miss_load(analysis, device, what, basis());
                }
            }
            None => {
                let rating = analysis.conductor_rating(id);
                let rating = rating.unwrap_or(Rating::missing("nothing is known of it"));
                let open = (id, "can it carry its current");
                gaps.miss_rating(analysis, open, &rating, basis());
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
fn on_pole(analysis: &Analysis<'_>, id: ElementId, current: &str, worst: Worst) -> String {
    if analysis.graph.conductors_of(id).len() > 2 {
        format!("{current} on {}", worst.pole.word())
    } else {
        current.to_owned()
    }
}
