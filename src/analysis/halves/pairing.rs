//! The pairs at an element of the power graph.

use crate::analysis::Analysis;
use crate::graph::{Carrier, CordFeed, ElementId, ElementKind, OutletId, PduFeed, Receiver};
use crate::model::circuits::Circuit;
use crate::model::cords::{Cord, CordType};
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id};
use crate::quantity::Current;

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
                far_pair(analysis, id, &kind.connector, &kind.rating),
            ],
            None => [None, None],
        },
        ElementKind::Leg(cord, leg) => {
            let kind = analysis.graph.cord_type(analysis.model, cord);
            let leg = kind.and_then(|kind| kind.legs.items().get(leg as usize));
            // The trunk's mark says nothing of a leg's connector.
            let pair = leg.and_then(|leg| far_pair(analysis, id, &leg.connector, &leg.rating));
            [pair, None]
        }
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
    let model = analysis.graph.pdu_model(analysis.model, pdu);
    let table = analysis.graph.links.outlet_table(pdu);
    let Some((bank, table)) = model
        .and_then(|model| model.banks.items().get(bank as usize))
        .zip(table)
    else {
        return Vec::new();
    };
    let halves = bank.outlets.as_written().filter_map(|outlet| {
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
    let contacts = match analysis.graph.links.cord_feeds[cord.index()] {
        Some(CordFeed::Outlet(outlet)) => outlet_half(analysis, outlet),
        Some(CordFeed::Receptacle(circuit)) => receptacle_half(analysis, circuit),
        Some(CordFeed::Cord(_)) => {
            let feeder = analysis.graph.element(id).feeder;
            feeder.and_then(|feeder| connector_half(analysis, feeder))
        }
        None => None,
    };
    Pair {
        id,
        contacts,
        pins: Half::new(&kind.plug, &kind.rating, Owner::Plug(cord)),
    }
}

/// The pair at the far end of a cord or leg; the plug of a PDU, or of a cord in line, makes its pair there.
fn far_pair<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
    connector: &'a Field<CouplerRef>,
    mark: &'a Field<Current>,
) -> Option<Pair<'a>> {
    let Some(&Receiver::Inlet(number)) = analysis.graph.receiver(id) else {
        return None;
    };
    let (_, inlet) = analysis.inlet(number)?;
    let inlet = &inlet.item;
    Some(Pair {
        id,
        contacts: Half::new(connector, mark, Owner::Connector(id)),
        pins: Half::new(&inlet.coupler, &inlet.rating, Owner::Inlet(number)),
    })
}

fn pdu_pair<'a>(analysis: &Analysis<'a>, id: ElementId, pdu: Id<Pdu>) -> Option<Pair<'a>> {
    let contacts = match analysis.graph.links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(circuit) => receptacle_half(analysis, circuit),
        PduFeed::Outlet(outlet) => outlet_half(analysis, outlet),
        PduFeed::Cord(..) => {
            let feeder = analysis.graph.element(id).feeder?;
            connector_half(analysis, feeder)
        }
    };
    let model = analysis.graph.pdu_model(analysis.model, pdu)?;
    Some(Pair {
        id,
        contacts,
        pins: Half::new(&model.plug, &Field::Absent, Owner::PduPlug(pdu)),
    })
}

fn connector_half<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<Half<'a>> {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(id) else {
        return None;
    };
    let kind = analysis.graph.cord_type(analysis.model, cord)?;
    let ElementKind::Leg(_, leg) = analysis.graph.kind(id) else {
        return Half::new(&kind.connector, &kind.rating, Owner::Connector(id));
    };
    let leg = kind.legs.items().get(leg as usize)?;
    Half::new(&leg.connector, &leg.rating, Owner::Connector(id))
}

fn outlet_half<'a>(analysis: &Analysis<'a>, outlet: OutletId) -> Option<Half<'a>> {
    let item = &analysis.outlet(outlet)?.item;
    Half::new(&item.coupler, &item.rating, Owner::Outlet(outlet))
}

fn receptacle_half<'a>(analysis: &Analysis<'a>, circuit: Id<Circuit>) -> Option<Half<'a>> {
    let receptacle = &analysis.model.circuits[circuit].item.receptacle;
    Half::new(
        &receptacle.coupler,
        &Field::Absent,
        Owner::Receptacle(circuit),
    )
}
