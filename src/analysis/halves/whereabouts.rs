//! Where the halves of a pair are, and what they are parts of.

use crate::analysis::Analysis;
use crate::graph::ElementKind;
use crate::model::places::Zone;
use crate::model::value::{Name, Named};

use super::{Half, Owner, Pair};

impl Pair<'_> {
    /// Whether it is made at the receptacle of a circuit.
    pub fn is_at_receptacle(&self, analysis: &Analysis<'_>) -> bool {
        let contacts = self.contacts.map(|half| half.owner);
        let pins = self.pins.map(|half| half.owner);
        match (contacts, pins) {
            (Some(Owner::Receptacle(_)), _) => true,
            // The circuit says nothing of its receptacle.
            (None, Some(Owner::Plug(cord))) => {
                let is_joint = analysis.graph.links.joint_above(cord).is_some();
                !is_joint && analysis.carrier_of(cord).is_none()
            }
            _ => false,
        }
    }

    /// The zone that one of its halves is in: that of the strip or the device that it belongs to or
    /// is pushed on. A receptacle is taken to be where that is what is plugged into it.
    pub fn zone<'a>(&self, analysis: &Analysis<'a>, half: &Half<'_>) -> Option<&'a Named<Zone>> {
        match half.owner {
            Owner::Outlet(outlet) => analysis.zone_of_carrier(outlet.on),
            Owner::PduPlug(pdu) => analysis.zone_of_pdu(pdu),
            Owner::Inlet(inlet) => {
                analysis.zone_of_device(analysis.graph.links.inlets[inlet as usize].device)
            }
            Owner::Plug(cord) => match analysis.carrier_of(cord) {
                Some(carrier) => analysis.zone_of_carrier(carrier),
                None => self.zone_behind(analysis),
            },
            Owner::Connector(_) | Owner::Receptacle(_) => self.zone_behind(analysis),
        }
    }

    /// The zone of what the pair feeds.
    fn zone_behind<'a>(&self, analysis: &Analysis<'a>) -> Option<&'a Named<Zone>> {
        match analysis.graph.kind(self.id) {
            ElementKind::Pdu(pdu) => analysis.zone_of_pdu(pdu),
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                match analysis.device_fed_by(self.id) {
                    Some(device) => analysis.zone_of_device(device),
                    None => analysis.zones_of_cord(cord).next(),
                }
            }
            _ => None,
        }
    }
}

impl Half<'_> {
    /// The thing with a name of its own that it is a part of: cord, strip, circuit or device.
    pub fn whole<'a>(&self, analysis: &Analysis<'a>) -> &'a Name {
        let model = analysis.model;
        match self.owner {
            Owner::Outlet(outlet) => &analysis.name_of_carrier(outlet.on).value,
            Owner::PduPlug(pdu) => &model.pdus[pdu].name.value,
            Owner::Receptacle(circuit) => &model.circuits[circuit].name.value,
            Owner::Plug(cord) => &model.cords[cord].name.value,
            Owner::Connector(id) => analysis.whole(id),
            Owner::Inlet(inlet) => {
                let device = analysis.graph.links.inlets[inlet as usize].device;
                &model.devices[device].name.value
            }
        }
    }
}
