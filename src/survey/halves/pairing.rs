//! The pairs at an element of the power graph.

use crate::graph::{CordFeed, ElementId, ElementKind, PduFeed, Receiver};
use crate::model::circuits::Circuit;
use crate::model::cords::{Cord, CordType};
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id};
use crate::quantity::Current;
use crate::survey::Survey;

use super::{Half, Owner, Pair};

/// The pairs at an element, in electrical order: of a cord its plug and its connector, of a leg its
/// connector, of a PDU its plug.
pub fn pairs<'a>(survey: &Survey<'a>, id: ElementId) -> impl Iterator<Item = Pair<'a>> + use<'a> {
    let [first, second] = match survey.graph.kind(id) {
        ElementKind::Pdu(pdu) => [pdu_pair(survey, id, pdu), None],
        ElementKind::Cord(cord) => match survey.graph.cord_type(survey.model, cord) {
            Some(kind) => [
                Some(plug_pair(survey, id, cord, kind)),
                far_pair(survey, id, &kind.connector, &kind.rating),
            ],
            None => [None, None],
        },
        ElementKind::Leg(cord, leg) => {
            let kind = survey.graph.cord_type(survey.model, cord);
            let leg = kind.and_then(|kind| kind.legs.items().get(leg as usize));
            // The trunk's mark says nothing of a leg's connector.
            let pair = leg.and_then(|leg| far_pair(survey, id, &leg.connector, &leg.rating));
            [pair, None]
        }
        ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => [None, None],
    };
    first.into_iter().chain(second)
}

fn plug_pair<'a>(
    survey: &Survey<'a>,
    id: ElementId,
    cord: Id<Cord>,
    kind: &'a CordType,
) -> Pair<'a> {
    let contacts = match survey.graph.links.cord_feeds[cord.index()] {
        Some(CordFeed::Outlet(pdu, outlet)) => outlet_half(survey, pdu, outlet),
        Some(CordFeed::Receptacle(circuit)) => receptacle_half(survey, circuit),
        None => None,
    };
    Pair {
        id,
        contacts,
        pins: Half::new(&kind.plug, &kind.rating, Owner::Plug(cord)),
    }
}

/// The pair at the far end of a cord or leg; a PDU's plug makes its pair at the PDU.
fn far_pair<'a>(
    survey: &Survey<'a>,
    id: ElementId,
    connector: &'a Field<CouplerRef>,
    mark: &'a Field<Current>,
) -> Option<Pair<'a>> {
    let Some(&Receiver::Inlet(number)) = survey.graph.receiver(id) else {
        return None;
    };
    let (_, inlet) = survey.inlet(number)?;
    let inlet = &inlet.item;
    Some(Pair {
        id,
        contacts: Half::new(connector, mark, Owner::Connector(id)),
        pins: Half::new(&inlet.coupler, &inlet.rating, Owner::Inlet(number)),
    })
}

fn pdu_pair<'a>(survey: &Survey<'a>, id: ElementId, pdu: Id<Pdu>) -> Option<Pair<'a>> {
    let contacts = match survey.graph.links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(circuit) => receptacle_half(survey, circuit),
        PduFeed::Outlet(upper, outlet) => outlet_half(survey, upper, outlet),
        PduFeed::Cord(..) => {
            let feeder = survey.graph.element(id).feeder?;
            connector_half(survey, feeder)
        }
    };
    let model = survey.graph.pdu_model(survey.model, pdu)?;
    Some(Pair {
        id,
        contacts,
        pins: Half::new(&model.plug, &Field::Absent, Owner::PduPlug(pdu)),
    })
}

fn connector_half<'a>(survey: &Survey<'a>, id: ElementId) -> Option<Half<'a>> {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = survey.graph.kind(id) else {
        return None;
    };
    let kind = survey.graph.cord_type(survey.model, cord)?;
    let ElementKind::Leg(_, leg) = survey.graph.kind(id) else {
        return Half::new(&kind.connector, &kind.rating, Owner::Connector(id));
    };
    let leg = kind.legs.items().get(leg as usize)?;
    Half::new(&leg.connector, &leg.rating, Owner::Connector(id))
}

fn outlet_half<'a>(survey: &Survey<'a>, pdu: Id<Pdu>, outlet: u32) -> Option<Half<'a>> {
    let table = survey.graph.links.outlet_table(pdu)?;
    let item = &table
        .outlet(survey.graph.pdu_model(survey.model, pdu)?, outlet)
        .item;
    Half::new(&item.coupler, &item.rating, Owner::Outlet(pdu, outlet))
}

fn receptacle_half<'a>(survey: &Survey<'a>, circuit: Id<Circuit>) -> Option<Half<'a>> {
    let receptacle = &survey.model.circuits[circuit].item.receptacle;
    Half::new(receptacle, &Field::Absent, Owner::Receptacle(circuit))
}
