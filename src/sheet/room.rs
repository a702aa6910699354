//! What should be found in a rack: every outlet with the cord that belongs there, to tick or to correct.

use crate::analysis::Analysis;
use crate::graph::{Carrier, OutletId, Plugged};
use crate::ink::short;
use crate::model::cords::Cord;
use crate::model::value::Id;
use crate::schedule::{Column, Row, Schedule, far_ends, names, words};

const COLUMNS: &[Column] = &[
    names("rack"),
    names(PDU),
    names(OUTLET),
    names("coupler"),
    names(CORD),
    words("colour"),
    names("far end"),
    words(AS_FOUND),
];

// The headings by which the sheet is known when it comes back.
pub(super) const PDU: &str = "PDU";
pub(super) const OUTLET: &str = "outlet";
pub(super) const CORD: &str = "cord";
pub(super) const AS_FOUND: &str = "as found";

/// The outlets of the strips and devices in a rack, or in all; `None` if the site has no such rack.
pub fn room(analysis: &Analysis<'_>, rack: Option<&str>) -> Option<Schedule> {
    let model = analysis.model;
    if rack.is_some_and(|rack| !model.racks.has(rack)) {
        return None;
    }
    let cords = by_outlet(analysis);
    let mut rows = Vec::new();
    let strips = model.pdus.iter();
    let strips = strips.map(|(pdu, item)| (Carrier::Pdu(pdu), &item.rack));
    let devices = model.devices.iter();
    let devices = devices.map(|(device, item)| (Carrier::Device(device), &item.rack));
    for (carrier, own) in strips.chain(devices) {
        let own = own.given().map(|rack| rack.value.as_str());
        if rack.is_none_or(|rack| own == Some(rack)) {
            rows.extend(outlets(analysis, carrier, own.unwrap_or("?"), &cords));
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
        notes: vec!["Write `ok` where it is as it says, and the label of the cord that is there, or `free`, where it is not. An empty cord is a free outlet: whatever is plugged in there is on no record.".to_owned()],
        ..Schedule::default()
    })
}

fn by_outlet(analysis: &Analysis<'_>) -> Vec<(OutletId, Id<Cord>)> {
    let links = &analysis.graph.links;
    let cords = analysis.model.cords.iter();
    let cords =
        cords.filter_map(|(cord, _)| Some((links.outlet_above(Plugged::Cord(cord))?, cord)));
    let mut cords: Vec<_> = cords.collect();
    cords.sort_unstable();
    cords
}

/// The outlets of a strip, or of a device that passes power on.
fn outlets(
    analysis: &Analysis<'_>,
    on: Carrier,
    rack: &str,
    cords: &[(OutletId, Id<Cord>)],
) -> Vec<Row> {
    let name = &analysis.name_of_carrier(on).value;
    let row = |outlet: &str, coupler: String, rest: [String; 3]| -> Row {
        let [cord, colour, far] = rest;
        let first = [rack, name, outlet].map(str::to_owned);
        let last = [coupler, cord, colour, far, String::new()];
        first.into_iter().chain(last).collect()
    };
    let outlets = 0..analysis.graph.links.outlets_on(on);
    let outlets = outlets.map(|number| OutletId { on, number });
    let outlets = outlets.filter_map(|id| Some((id, analysis.outlet(id)?)));
    let rows = outlets.flat_map(|(id, outlet)| {
        let coupler = outlet.coupler.given();
        let coupler = coupler.map_or("?".to_owned(), |coupler| coupler.value.name.to_string());
        let from = cords.partition_point(|(own, _)| *own < id);
        let here = cords[from..].iter().take_while(|(own, _)| *own == id);
        let plugged = here.map(|&(_, cord)| {
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
