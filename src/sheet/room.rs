//! What should be found in a rack: every outlet with the cord that belongs there, to tick or to correct.

use crate::analysis::Analysis;
use crate::graph::CordFeed;
use crate::ink::short;
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::value::Id;
use crate::schedule::{Column, Row, Schedule, far_ends, names, words};

const COLUMNS: &[Column] = &[
    names("rack"),
    names("PDU"),
    names("outlet"),
    names("coupler"),
    names("cord"),
    words("colour"),
    names("far end"),
    words("as found"),
];

/// The outlets of the strips in a rack, or in all; `None` if the site has no such rack.
pub fn room(analysis: &Analysis<'_>, rack: Option<&str>) -> Option<Schedule> {
    let model = analysis.model;
    if rack.is_some_and(|rack| !model.racks.has(rack)) {
        return None;
    }
    let cords = by_outlet(analysis);
    let mut rows = Vec::new();
    for (pdu, item) in model.pdus.iter() {
        let own = item.rack.given().map(|rack| rack.value.as_str());
        if rack.is_none_or(|rack| own == Some(rack)) {
            rows.extend(strip(analysis, pdu, own.unwrap_or("?"), &cords));
        }
    }
    let title = match rack {
        Some(rack) => format!("Rack {} as it should be", short(rack)),
        None => "Racks as they should be".to_owned(),
    };
    Some(Schedule {
        title,
        columns: COLUMNS,
        rows,
        notes: vec!["Tick what is as it says; write what is there where it is not. An empty cord is a free outlet: whatever is plugged in there is on no record.".to_owned()],
    })
}

fn by_outlet(analysis: &Analysis<'_>) -> Vec<(Id<Pdu>, u32, Id<Cord>)> {
    let cords = analysis.model.cords.iter().filter_map(|(cord, _)| {
        match analysis.graph.links.cord_feeds[cord.index()]? {
            CordFeed::Outlet(pdu, outlet) => Some((pdu, outlet, cord)),
            CordFeed::Receptacle(_) => None,
        }
    });
    let mut cords: Vec<_> = cords.collect();
    cords.sort_unstable();
    cords
}

fn strip(
    analysis: &Analysis<'_>,
    pdu: Id<Pdu>,
    rack: &str,
    cords: &[(Id<Pdu>, u32, Id<Cord>)],
) -> Vec<Row> {
    let name = &analysis.model.pdus[pdu].name.value;
    let row = |outlet: &str, coupler: String, rest: [String; 3]| -> Row {
        let [cord, colour, far] = rest;
        let first = [rack, name, outlet].map(str::to_owned);
        let last = [coupler, cord, colour, far, String::new()];
        first.into_iter().chain(last).collect()
    };
    let table = analysis.graph.links.outlet_table(pdu);
    let outlets = 0..table.map_or(0, |table| table.len() as u32);
    let outlets = outlets.filter_map(|number| Some((number, analysis.outlet(pdu, number)?)));
    let rows = outlets.flat_map(|(number, outlet)| {
        let coupler = outlet.coupler.given();
        let coupler = coupler.map_or("?".to_owned(), |coupler| coupler.value.name.to_string());
        let from = cords.partition_point(|(own, at, _)| (*own, *at) < (pdu, number));
        let here = cords[from..].iter();
        let here = here.take_while(|(own, at, _)| (*own, *at) == (pdu, number));
        let plugged = here.map(|&(_, _, cord)| {
            let item = &analysis.model.cords[cord];
            let kind = analysis.graph.cord_type(analysis.model, cord);
            let colour = kind.and_then(|kind| kind.colour.given());
            let colour = colour.map_or("?".to_owned(), |colour| colour.value.to_string());
            [
                item.name.value.to_string(),
                colour,
                far_ends(analysis, cord),
            ]
        });
        let mut plugged: Vec<[String; 3]> = plugged.collect();
        if plugged.is_empty() {
            plugged.push(Default::default());
        }
        let rows = plugged.into_iter();
        rows.map(|rest| row(&outlet.name.value, coupler.clone(), rest))
            .collect::<Vec<_>>()
    });
    rows.collect()
}
