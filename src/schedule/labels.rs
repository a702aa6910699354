//! The labels of both ends of every cord: its name, where this end belongs, and where the other end is.

use crate::analysis::Analysis;
use crate::graph::CordEnd;
use crate::model::cords::Cord;
use crate::model::value::Id;

use super::cords::{destination, feed, name};
use super::table::{Column, Row, Schedule, UNKNOWN, given, names, words};

const COLUMNS: &[Column] = &[
    names("cord"),
    words("end"),
    names("this end"),
    names("other end"),
    names("feed"),
    words("colour"),
];

/// One label for the plug, and one for each connector.
pub(super) fn labels(analysis: &Analysis<'_>) -> Schedule {
    let cords = analysis.model.cords.iter().map(|(cord, _)| cord);
    let rows = cords.flat_map(|cord| of_cord(analysis, cord));
    Schedule::new(
        COLUMNS,
        rows.collect(),
        &[
            "One label for each end: fix it within sight of the coupler, and read both before you unplug.",
        ],
    )
}

fn of_cord(analysis: &Analysis<'_>, cord: Id<Cord>) -> Vec<Row> {
    let item = &analysis.model.cords[cord];
    let from = item.from.known();
    let from = from.map_or_else(|| UNKNOWN.to_owned(), |from| from.0.to_string());
    let kind = analysis.graph.cord_type(analysis.model, cord);
    let colour = kind.map_or_else(|| UNKNOWN.to_owned(), |kind| given(&kind.colour));
    let ends = analysis.graph.links.cord_ends(cord);
    let ends: Vec<Option<CordEnd>> = match ends {
        [] => vec![None],
        ends => ends.iter().copied().map(Some).collect(),
    };
    let leg = |end: Option<CordEnd>| name(analysis, cord, end.and_then(|end| end.leg));
    let to: Vec<String> = ends
        .iter()
        .map(|end| destination(analysis, item, *end))
        .collect();
    let label = |name: String, end: &str, here: &str, there: &str| {
        let [end, here, there] = [end, here, there].map(str::to_owned);
        vec![name, end, here, there, feed(analysis, cord), colour.clone()]
    };
    let plug = label(leg(None), "plug", &from, &to.join(", "));
    let far = ends.iter().zip(&to);
    let connectors = far.map(|(end, to)| label(leg(*end), "connector", to, &from));
    std::iter::once(plug).chain(connectors).collect()
}
