//! What keeps the water from a coupler: the rack that it is in, or the mark of the half with the
//! contacts, which holds with its mate pushed home.

use crate::graph::ElementKind;
use crate::model::ingress::Ingress;
use crate::model::places::Rack;
use crate::model::value::{Field, Id};
use crate::rules::couplers::halves::{Half, Owner, Pair};
use crate::survey::Survey;

/// Whether water is kept from a half, by what can be read of it.
pub(super) fn is_guarded(survey: &Survey<'_>, pair: &Pair<'_>, half: &Half<'_>) -> bool {
    let mark = pair.contacts.and_then(|contacts| mark(survey, &contacts));
    let rack = rack(survey, pair, half);
    let rack = rack.map(|rack| &survey.model.racks[rack].item.ip);
    [mark, rack].into_iter().flatten().any(keeps_water_out)
}

fn keeps_water_out(ip: &Field<Ingress>) -> bool {
    ip.known().is_some_and(|ip| ip.keeps_splashes_out())
}

/// What a half with contacts is marked with.
fn mark<'a>(survey: &Survey<'a>, contacts: &Half<'_>) -> Option<&'a Field<Ingress>> {
    match contacts.owner {
        Owner::Outlet(pdu, outlet) => Some(&survey.outlet(pdu, outlet)?.item.ip),
        Owner::Receptacle(circuit) => Some(&survey.model.circuits[circuit].item.receptacle_ip),
        Owner::Connector(id) => match survey.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                let kind = survey.graph.cord_type(survey.model, cord)?;
                Some(&kind.connector_ip)
            }
            _ => None,
        },
        Owner::Plug(_) | Owner::Inlet(_) | Owner::PduPlug(_) => None,
    }
}

/// The rack that a half is inside of. The receptacle of a circuit, and what is plugged into it, is in
/// none.
fn rack(survey: &Survey<'_>, pair: &Pair<'_>, half: &Half<'_>) -> Option<Id<Rack>> {
    let links = &survey.graph.links;
    if pair.is_at_receptacle(survey) {
        return None;
    }
    match half.owner {
        Owner::Outlet(pdu, _) | Owner::PduPlug(pdu) => links.pdu_racks[pdu.index()],
        Owner::Plug(_) => links.pdu_racks[survey.graph.pdu_of(pair.id)?.index()],
        Owner::Connector(_) => match survey.graph.kind(pair.id) {
            ElementKind::Pdu(pdu) => links.pdu_racks[pdu.index()],
            _ => links.device_racks[survey.device_fed_by(pair.id)?.index()],
        },
        Owner::Inlet(inlet) => links.device_racks[links.inlets[inlet as usize].device.index()],
        Owner::Receptacle(_) => None,
    }
}
