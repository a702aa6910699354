//! `splitter-in-series`: is a splitter fed, through a PDU or a device, from another splitter?

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{Carrier, ElementKind};
use crate::rules::{Draft, rule};

use super::Splitter;

rule!(
    "splitter-in-series",
    Splitters,
    Error,
    "A splitter fed from a splitter: all their legs hang on one plug, and nobody at the rack can see it."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for lower in Splitter::all(analysis) {
        let mut above = analysis.graph.upwards(lower.trunk).skip(1);
        if let Some(upper) = above.find_map(|id| Splitter::at(analysis, id)) {
            findings.push(in_series(analysis, upper, lower));
        }
    }
}

/// The strip or device that stands nearest above the lower of two splitters.
fn carrier_between(
    analysis: &Analysis<'_>,
    upper: Splitter<'_>,
    lower: Splitter<'_>,
) -> Option<Carrier> {
    let above = analysis.graph.upwards(lower.trunk).skip(1);
    let mut between = above.take_while(|id| *id != upper.trunk);
    between.find_map(|id| match analysis.graph.kind(id) {
        ElementKind::Pdu(pdu) => Some(Carrier::Pdu(pdu)),
        _ => analysis.device_fed_by(id).map(Carrier::Device),
    })
}

fn in_series(analysis: &Analysis<'_>, upper: Splitter<'_>, lower: Splitter<'_>) -> Finding {
    let cord = &analysis.model.cords[lower.cord];
    let (upper_name, lower_name) = (
        &analysis.model.cords[upper.cord].name.value,
        &cord.name.value,
    );
    let between = carrier_between(analysis, upper, lower);
    let through = between.map_or_else(String::new, |carrier| {
        format!(" through {}", analysis.describe_carrier(carrier))
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
    .above(analysis.hops_above(lower.trunk))
    .below(analysis.ends_of(lower.cord))
    .about([lower_name.clone(), upper_name.clone()])
    .advice(format!(
        "Feed the devices of {lower_name} from a PDU that has its own circuit, by cords of their own{}.",
        lower.such_as(analysis)
    ))
    .finish()
}
