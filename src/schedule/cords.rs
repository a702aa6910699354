//! The cable schedule: every cord with its two ends, what it is, and what it carries.

use crate::analysis::Analysis;
use crate::graph::{Carrier, CordEnd, CordFeed, ElementId, Receiver};
use crate::model::cords::{Cord, CordState, CordType, Ends};
use crate::model::places::Rack;
use crate::model::value::{Field, Id};
use crate::quantity::InUnits;

use super::table::{
    Column, NONE, NOTE, Row, Schedule, UNKNOWN, at_least, at_most, given, length, names, noted,
    numbers, words,
};

const COLUMNS: &[Column] = &[
    names("cord"),
    names("from"),
    names("from rack"),
    names("to"),
    names("to rack"),
    names("type"),
    words("plug"),
    words("connector"),
    words("conductor"),
    words("cordage"),
    words("length"),
    words("colour"),
    names("feed"),
    numbers("worst A"),
    numbers("may carry A"),
    words("state"),
    NOTE,
];

/// One row for each end that a cord leads to.
pub(super) fn cords(analysis: &Analysis<'_>) -> Schedule {
    let cords = analysis.model.cords.iter().map(|(cord, _)| cord);
    let rows = cords.flat_map(|cord| {
        let ends = analysis.graph.links.cord_ends(cord);
        let known = ends.iter().map(move |end| Some(*end));
        let known: Vec<Option<CordEnd>> = known.collect();
        let ends = if known.is_empty() { vec![None] } else { known };
        ends.into_iter().map(move |end| row(analysis, cord, end))
    });
    Schedule::new(
        COLUMNS,
        rows.collect(),
        &[
            "worst A: the largest current over the normal state and every single loss, at the low end of the supply's tolerance.",
            "may carry A: the lowest of all that limits the cord; cordwright check says what rests on which source.",
            "≥: a load on the way is not known, so that more may flow. ≤: a limit on the way is not known, and may be lower.",
        ],
    )
}

fn row(analysis: &Analysis<'_>, cord: Id<Cord>, end: Option<CordEnd>) -> Row {
    let item = &analysis.model.cords[cord];
    let kind = analysis.graph.cord_type(analysis.model, cord);
    let leg = end.and_then(|end| end.leg);
    let element = match leg {
        None => analysis.graph.cord(cord),
        Some(leg) => analysis.graph.leg(cord, leg),
    };
    let of_type = |cell: fn(&CordType) -> String| kind.map_or_else(|| UNKNOWN.to_owned(), cell);
    let run = Run::of(kind, leg);
    let [worst, most] = carried(analysis, element);
    vec![
        name(analysis, cord, leg),
        item.from
            .known()
            .map_or_else(|| UNKNOWN.to_owned(), |from| from.0.to_string()),
        upper_rack(analysis, cord),
        destination(analysis, item, end),
        end.map_or_else(|| UNKNOWN.to_owned(), |end| lower_rack(analysis, end)),
        given(&item.cord_type),
        of_type(|kind| given(&kind.plug)),
        run.connector,
        run.conductor,
        run.cordage,
        match kind.filter(|kind| kind.is_adapter()) {
            Some(_) => NONE.to_owned(),
            None => length(analysis, analysis.length_of(cord, leg)),
        },
        of_type(|kind| given(&kind.colour)),
        feed(analysis, cord),
        worst,
        most,
        state(item).to_owned(),
        noted(item),
    ]
}

/// `W-0413`, `W-0413/a` for a leg.
pub(super) fn name(analysis: &Analysis<'_>, cord: Id<Cord>, leg: Option<u32>) -> String {
    let own = &analysis.model.cords[cord].name.value;
    let kind = analysis.graph.cord_type(analysis.model, cord);
    let leg = leg.and_then(|leg| kind?.leg(leg));
    leg.map_or_else(
        || own.to_string(),
        |leg| format!("{own}/{}", leg.name.value),
    )
}

/// Where all ends of a cord lead to, as written.
pub fn far_ends(analysis: &Analysis<'_>, cord: Id<Cord>) -> String {
    let item = &analysis.model.cords[cord];
    let ends = analysis.graph.links.cord_ends(cord);
    let all: Vec<String> = match ends {
        [] => vec![destination(analysis, item, None)],
        ends => ends
            .iter()
            .map(|end| destination(analysis, item, Some(*end)))
            .collect(),
    };
    all.join(", ")
}

/// Where an end leads to, as written; the cord that is plugged in there, which may say so alone.
pub(super) fn destination(analysis: &Analysis<'_>, item: &Cord, end: Option<CordEnd>) -> String {
    if let Some(Receiver::Cord(lower)) = end.map(|end| end.at) {
        return analysis.model.cords[lower].name.value.to_string();
    }
    let written = match &item.to {
        Ends::Absent | Ends::Unreadable(_) => None,
        Ends::One(end) => Some(&end.value),
        Ends::Legs(legs) => {
            let at = end.map(|end| end.span);
            let leg = legs.iter().find(|leg| Some(leg.body) == at);
            leg.map(|leg| &leg.item)
        }
    };
    written.map_or_else(|| UNKNOWN.to_owned(), |to| to.0.to_string())
}

/// How far a cord has come; `fitted` where nothing else is said.
fn state(item: &Cord) -> &'static str {
    match &item.state {
        Field::Absent => CordState::Fitted.word(),
        Field::Given(state) => state.value.word(),
        Field::Unreadable(_) => UNKNOWN,
    }
}

/// The feed of the supply that a cord hangs on.
pub(super) fn feed(analysis: &Analysis<'_>, cord: Id<Cord>) -> String {
    let supply = analysis
        .graph
        .cord(cord)
        .and_then(|id| analysis.graph.supply_of(id));
    supply.map_or_else(
        || UNKNOWN.to_owned(),
        |supply| given(&analysis.model.supplies[supply].feed),
    )
}

/// The conductors of a cord or leg, with the connector at their end.
struct Run {
    connector: String,
    conductor: String,
    cordage: String,
}

impl Run {
    fn of(kind: Option<&CordType>, leg: Option<u32>) -> Self {
        let unknown = || UNKNOWN.to_owned();
        let Some(kind) = kind else {
            return Self {
                connector: unknown(),
                conductor: unknown(),
                cordage: unknown(),
            };
        };
        let unsaid = || if kind.is_adapter() { NONE } else { UNKNOWN }.to_owned();
        let leg = leg.and_then(|leg| kind.leg(leg));
        let flex = leg.map_or_else(|| kind.trunk(), |leg| kind.flex_of(leg));
        Self {
            connector: given(kind.connector_of(leg.map(|leg| &leg.item))),
            conductor: flex.conductor.as_written().unwrap_or_else(unsaid),
            cordage: flex.cordage.as_written().unwrap_or_else(unsaid),
        }
    }
}

fn upper_rack(analysis: &Analysis<'_>, cord: Id<Cord>) -> String {
    match analysis.graph.links.cord_feeds[cord.index()] {
        Some(CordFeed::Outlet(outlet)) => match outlet.on {
            Carrier::Device(device) if analysis.stands_outside_racks(device) => String::new(),
            carrier => rack(analysis, analysis.rack_of_carrier(carrier)),
        },
        Some(CordFeed::Receptacle(_) | CordFeed::Cord(_)) => String::new(),
        None => UNKNOWN.to_owned(),
    }
}

fn lower_rack(analysis: &Analysis<'_>, end: CordEnd) -> String {
    let links = &analysis.graph.links;
    match end.at {
        Receiver::Inlet(inlet) => {
            let device = links.inlets[inlet as usize].device;
            match analysis.stands_outside_racks(device) {
                true => String::new(),
                false => rack(analysis, links.device_racks[device.index()]),
            }
        }
        Receiver::Pdu(pdu) => rack(analysis, links.pdu_racks[pdu.index()]),
        Receiver::Cord(_) => String::new(),
        Receiver::Unknown => UNKNOWN.to_owned(),
    }
}

fn rack(analysis: &Analysis<'_>, rack: Option<Id<Rack>>) -> String {
    let name = rack.map(|rack| &analysis.model.racks[rack].name.value);
    name.map_or_else(|| UNKNOWN.to_owned(), ToString::to_string)
}

/// The worst current and the lowest limit of a cord or leg, in amperes.
fn carried(analysis: &Analysis<'_>, element: Option<ElementId>) -> [String; 2] {
    let Some(id) = element else {
        return [UNKNOWN.to_owned(), UNKNOWN.to_owned()];
    };
    let standing = analysis.held(id).lines();
    let worst = standing.worst.map(|worst| worst.current.in_amperes());
    let limit = standing.limit.map(|limit| limit.current.in_amperes());
    [
        at_least(worst, standing.more_may_flow),
        at_most(limit, !standing.untold.is_empty()),
    ]
}
