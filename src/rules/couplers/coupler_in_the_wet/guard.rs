//! What keeps the water from a coupler: the rack that it is in, or the mark of the half with the
//! contacts, which holds with its mate pushed home.

use crate::analysis::Analysis;
use crate::finding::Fact;
use crate::graph::ElementKind;
use crate::model::ingress::Ingress;
use crate::model::optional::Stated;
use crate::model::places::Rack;
use crate::model::value::{Field, Id};
use crate::rules::couplers::halves::{Half, Owner, Pair};

/// Whether water is kept from a half, by what can be read of it.
pub(super) fn is_guarded(analysis: &Analysis<'_>, pair: &Pair<'_>, half: &Half<'_>) -> bool {
    let mark = pair.contacts.and_then(|contacts| mark(analysis, &contacts));
    let rack = rack(analysis, pair, half);
    let rack = rack.map(|rack| &analysis.model.racks[rack].item.ip);
    [mark, rack].into_iter().flatten().any(keeps_water_out)
}

/// What might keep the water from a half and cannot be read.
pub(super) fn unread(analysis: &Analysis<'_>, pair: &Pair<'_>, half: &Half<'_>) -> Option<Fact> {
    let rack = rack(analysis, pair, half).map(|rack| &analysis.model.racks[rack]);
    let of_rack = rack.and_then(|rack| Fact::if_unreadable(rack, "ip", &rack.ip));
    of_rack.or_else(|| unread_mark(analysis, &pair.contacts?))
}

fn unread_mark(analysis: &Analysis<'_>, contacts: &Half<'_>) -> Option<Fact> {
    let own = mark(analysis, contacts).filter(|own| own.is_unreadable())?;
    match contacts.owner {
        Owner::Outlet(outlet) => Some(analysis.outlet_fact(outlet, "ip", Some(own))),
        Owner::Receptacle(circuit) => {
            let circuit = &analysis.model.circuits[circuit];
            Some(Fact::of(circuit, circuit.mark_of_receptacle().1, Some(own)))
        }
        Owner::Connector(id) => match analysis.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                let fact = |kind| Fact::of(kind, "connector-ip", Some(own));
                Some(analysis.cord_type_fact(cord, fact))
            }
            _ => None,
        },
        Owner::Plug(_) | Owner::Inlet(_) | Owner::PduPlug(_) => None,
    }
}

fn keeps_water_out(ip: &Field<Ingress>) -> bool {
    ip.known().is_some_and(|ip| ip.keeps_splashes_out())
}

/// What a half with contacts is marked with.
fn mark<'a>(analysis: &Analysis<'a>, contacts: &Half<'_>) -> Option<&'a Field<Ingress>> {
    match contacts.owner {
        Owner::Outlet(outlet) => Some(&analysis.outlet(outlet)?.item.ip),
        Owner::Receptacle(circuit) => {
            let circuit = &analysis.model.circuits[circuit].item;
            Some(circuit.mark_of_receptacle().0)
        }
        Owner::Connector(id) => match analysis.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                let kind = analysis.graph.cord_type(analysis.model, cord)?;
                Some(&kind.connector_ip)
            }
            _ => None,
        },
        Owner::Plug(_) | Owner::Inlet(_) | Owner::PduPlug(_) => None,
    }
}

/// The rack that a half is inside of. The receptacle of a circuit, and what is plugged into it, is in
/// none.
fn rack(analysis: &Analysis<'_>, pair: &Pair<'_>, half: &Half<'_>) -> Option<Id<Rack>> {
    let links = &analysis.graph.links;
    if pair.is_at_receptacle(analysis) {
        return None;
    }
    match half.owner {
        Owner::Outlet(outlet) => analysis.rack_of_carrier(outlet.on),
        Owner::PduPlug(pdu) => links.pdu_racks[pdu.index()],
        Owner::Plug(cord) => analysis.rack_of_carrier(analysis.carrier_of(cord)?),
        Owner::Connector(_) => match analysis.graph.kind(pair.id) {
            ElementKind::Pdu(pdu) => links.pdu_racks[pdu.index()],
            _ => links.device_racks[analysis.device_fed_by(pair.id)?.index()],
        },
        Owner::Inlet(inlet) => links.device_racks[links.inlets[inlet as usize].device.index()],
        Owner::Receptacle(_) => None,
    }
}
