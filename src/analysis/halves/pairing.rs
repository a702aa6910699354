//! The pairs at an element of the power graph.

use crate::analysis::Analysis;
use crate::graph::{Carrier, CordFeed, ElementId, ElementKind, FarEnd, OutletId, Receiver};
use crate::model::circuits::Circuit;
use crate::model::cords::{Cord, CordType};
use crate::model::pdus::{Pdu, PduModel};
use crate::model::value::{Field, Id};

use super::{Half, Owner, Pair};

/// The pairs at an element, in electrical order: of a cord its plug and its connector, of a leg its
/// connector, of a PDU its plug.
pub fn pairs<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
) -> impl Iterator<Item = Pair<'a>> + use<'a> {
    let [first, second] = match analysis.graph.kind(id) {
        ElementKind::Pdu(pdu) => [pdu_pair(analysis, id, pdu), None],
        ElementKind::Cord(cord) => match analysis.graph.cord_type(analysis.model, cord) {
            Some(kind) => [
                Some(plug_pair(analysis, id, cord, kind)),
                far_pair(analysis, id, (cord, None)),
            ],
            None => [None, None],
        },
        ElementKind::Leg(cord, leg) => [far_pair(analysis, id, (cord, Some(leg))), None],
        ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => [None, None],
    };
    first.into_iter().chain(second)
}

/// What is there to be plugged into, whether or not somebody does: of a bank its outlets, of those alike the
/// first; of a circuit that nothing hangs on its receptacle. One that has other poles is another fault.
pub fn unused<'a>(analysis: &Analysis<'a>, id: ElementId) -> Vec<Half<'a>> {
    let mut halves = match analysis.graph.kind(id) {
        ElementKind::Bank(pdu, bank) => bank_halves(analysis, pdu, bank),
        ElementKind::Circuit(circuit) if analysis.graph.children(id).next().is_none() => {
            receptacle_half(analysis, circuit).into_iter().collect()
        }
        _ => Vec::new(),
    };
    let poles = analysis.graph.conductors_of(id).len();
    halves.retain(|half| usize::from(half.coupler.value.poles.count()) == poles);
    halves
}

fn bank_halves<'a>(analysis: &Analysis<'a>, pdu: Id<Pdu>, bank: u32) -> Vec<Half<'a>> {
    let links = &analysis.graph.links;
    let number = links.pdu_models[pdu.index()];
    let Some((number, table)) = number.zip(links.outlet_table(pdu)) else {
        return Vec::new();
    };
    let model: &'a PduModel = &analysis.model.pdu_models[number];
    let Some(own) = model.banks.items().get(bank as usize) else {
        return Vec::new();
    };
    let kinds = analysis.shared.outlet_kinds(analysis);
    let differing = kinds.in_bank(number, bank).iter();
    let halves = differing.filter_map(|at| {
        let outlet = &own.outlets.0[*at];
        let id = OutletId {
            on: Carrier::Pdu(pdu),
            number: table.find(&outlet.name.value)?,
        };
        Half::new(&outlet.item.coupler, &outlet.item.rating, Owner::Outlet(id))
    });
    halves.collect()
}

fn plug_pair<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
    cord: Id<Cord>,
    kind: &'a CordType,
) -> Pair<'a> {
    let feed = analysis.graph.links.cord_feeds[cord.index()];
    Pair {
        id,
        contacts: feed.and_then(|feed| socket_half(analysis, id, feed)),
        pins: Half::new(&kind.plug, &kind.rating, Owner::Plug(cord)),
    }
}

/// The pair at the far end of a cord or leg; the plug of a PDU, or of a cord in line, makes its pair there.
fn far_pair<'a>(analysis: &Analysis<'a>, id: ElementId, end: FarEnd) -> Option<Pair<'a>> {
    let Some(&Receiver::Inlet(number)) = analysis.graph.receiver(id) else {
        return None;
    };
    let inlet = analysis.pins(Receiver::Inlet(number))?;
    let connector = analysis.socket(CordFeed::Cord(end))?;
    Some(Pair {
        id,
        contacts: Half::new(connector.coupler, connector.mark, Owner::Connector(id)),
        pins: Half::new(inlet.coupler, inlet.mark, Owner::Inlet(number)),
    })
}

fn pdu_pair<'a>(analysis: &Analysis<'a>, id: ElementId, pdu: Id<Pdu>) -> Option<Pair<'a>> {
    let feed = analysis.feed_of_pdu(pdu)?;
    let model = analysis.graph.pdu_model(analysis.model, pdu)?;
    Some(Pair {
        id,
        contacts: socket_half(analysis, id, feed),
        pins: Half::new(&model.plug, &Field::Absent, Owner::PduPlug(pdu)),
    })
}

/// What the element is plugged into.
fn socket_half<'a>(analysis: &Analysis<'a>, id: ElementId, feed: CordFeed) -> Option<Half<'a>> {
    let socket = analysis.socket(feed)?;
    let owner = match feed {
        CordFeed::Outlet(outlet) => Owner::Outlet(outlet),
        CordFeed::Receptacle(circuit) => Owner::Receptacle(circuit),
        CordFeed::Cord(_) => Owner::Connector(analysis.graph.element(id).feeder?),
    };
    Half::new(socket.coupler, socket.mark, owner)
}

fn receptacle_half<'a>(analysis: &Analysis<'a>, circuit: Id<Circuit>) -> Option<Half<'a>> {
    let socket = analysis.socket(CordFeed::Receptacle(circuit))?;
    Half::new(socket.coupler, socket.mark, Owner::Receptacle(circuit))
}
