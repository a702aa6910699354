//! `splitter-in-series`: is a splitter fed, through a PDU, from another splitter?

use crate::citation::Citation;
use crate::finding::Finding;
use crate::rules::{Draft, rule};
use crate::survey::Survey;

use super::Splitter;

rule!(
    "splitter-in-series",
    Splitters,
    Error,
    "A splitter fed from a splitter: all their legs hang on one plug, and nobody at the rack can see it."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for lower in Splitter::all(survey) {
        let mut above = survey.graph.upwards(lower.trunk).skip(1);
        if let Some(upper) = above.find_map(|id| Splitter::at(survey, id)) {
            findings.push(in_series(survey, upper, lower));
        }
    }
}

fn in_series(survey: &Survey<'_>, upper: Splitter<'_>, lower: Splitter<'_>) -> Finding {
    let cord = &survey.model.cords[lower.cord];
    let (upper_name, lower_name) = (&survey.model.cords[upper.cord].name.value, &cord.name.value);
    let between = survey.graph.pdu_of(lower.trunk);
    let through = between.map_or_else(String::new, |pdu| {
        format!(" through PDU {}", survey.model.pdus[pdu].name.value)
    });
    let headline = format!(
        "splitter cord {lower_name} hangs on splitter cord {upper_name}{through}: one plug carries the legs of both, may overheat unseen, and drops all when pulled"
    );
    Draft::new(
        &RULE,
        headline,
        cord.from.span().unwrap_or(cord.name.span),
        format!("splitter cord {lower_name} starts here"),
        Citation::common_practice(
            "splitters and relocatable power taps are plugged straight into a fixed outlet, never one into another",
        ),
    )
    .above(survey.hops_above(lower.trunk))
    .below(survey.ends_of(lower.cord))
    .about([lower_name.clone(), upper_name.clone()])
    .advice(format!(
        "Feed the devices of {lower_name} from a PDU that has its own circuit, by cords of their own{}.",
        lower.such_as(survey)
    ))
    .finish()
}
