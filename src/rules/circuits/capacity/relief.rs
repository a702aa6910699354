//! What to do about an overloaded supply.

use crate::analysis::Analysis;
use crate::graph::ElementId;
use crate::quantity::{InUnits, Quantity, volt_amperes};

use super::room::room;
use crate::analysis::excess::{Excess, Part};

pub(super) fn advice(analysis: &Analysis<'_>, id: ElementId, excess: &Excess) -> String {
    let over = excess.power.in_volt_amperes() - excess.limit.in_volt_amperes();
    // To ten volt-amperes, upwards, so that what is moved is enough.
    let much = volt_amperes((over / 10.0).ceil() * 10.0);
    if let Part::Line(pole) = excess.part {
        return format!(
            "Move at least {} from {} to the other lines.",
            much.show(),
            pole.word()
        );
    }
    let graph = analysis.graph;
    let feed = |id: ElementId| {
        graph
            .supply_of(id)
            .and_then(|supply| analysis.model.supplies[supply].feed.known())
    };
    let others = analysis
        .model
        .supplies
        .iter()
        .filter_map(|(supply, _)| Some((graph.supply(supply)?, supply)));
    let others = others
        .filter(|_| !graph.feeds_supplies(id))
        .filter(|(other, _)| *other != id && feed(*other).is_some() && feed(*other) == feed(id));
    let with_room =
        others.filter_map(|(other, supply)| Some((other, room(analysis, other, supply)?)));
    let best = with_room
        .filter(|(_, room)| *room >= much)
        .reduce(|a, b| if b.1 > a.1 { b } else { a });
    match best {
        Some((other, room)) => format!(
            "Move at least {} of load to {} on the same feed, which has room for {} even in its worst state.",
            much.show(),
            analysis.describe(other),
            room.show()
        ),
        None => format!(
            "Take off at least {} of load, or put in a supply of larger capacity.",
            much.show()
        ),
    }
}
