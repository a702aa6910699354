//! Where the halves of a pair are, and what they are parts of.

use crate::graph::ElementKind;
use crate::model::places::Zone;
use crate::model::value::{Name, Named};
use crate::survey::Survey;

use super::{Half, Owner, Pair};

impl Pair<'_> {
    /// Whether it is made at the receptacle of a circuit.
    pub fn is_at_receptacle(&self, survey: &Survey<'_>) -> bool {
        let contacts = self.contacts.map(|half| half.owner);
        let pins = self.pins.map(|half| half.owner);
        match (contacts, pins) {
            (Some(Owner::Receptacle(_)), _) => true,
            // The circuit says nothing of its receptacle.
            (None, Some(Owner::Plug(_))) => survey.graph.pdu_of(self.id).is_none(),
            _ => false,
        }
    }

    /// The zone that one of its halves is in: that of the strip or the device that it belongs to or
    /// is pushed on. A receptacle is taken to be where that is what is plugged into it.
    pub fn zone<'a>(&self, survey: &Survey<'a>, half: &Half<'_>) -> Option<&'a Named<Zone>> {
        match half.owner {
            Owner::Outlet(pdu, _) | Owner::PduPlug(pdu) => survey.zone_of_pdu(pdu),
            Owner::Inlet(inlet) => {
                survey.zone_of_device(survey.graph.links.inlets[inlet as usize].device)
            }
            Owner::Plug(_) => match survey.graph.pdu_of(self.id) {
                Some(pdu) => survey.zone_of_pdu(pdu),
                None => self.zone_behind(survey),
            },
            Owner::Connector(_) | Owner::Receptacle(_) => self.zone_behind(survey),
        }
    }

    /// The zone of what the pair feeds.
    fn zone_behind<'a>(&self, survey: &Survey<'a>) -> Option<&'a Named<Zone>> {
        match survey.graph.kind(self.id) {
            ElementKind::Pdu(pdu) => survey.zone_of_pdu(pdu),
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                match survey.device_fed_by(self.id) {
                    Some(device) => survey.zone_of_device(device),
                    None => survey.zones_of_cord(cord).next(),
                }
            }
            _ => None,
        }
    }
}

impl Half<'_> {
    /// The thing with a name of its own that it is a part of: cord, strip, circuit or device.
    pub fn whole<'a>(&self, survey: &Survey<'a>) -> &'a Name {
        let model = survey.model;
        match self.owner {
            Owner::Outlet(pdu, _) | Owner::PduPlug(pdu) => &model.pdus[pdu].name.value,
            Owner::Receptacle(circuit) => &model.circuits[circuit].name.value,
            Owner::Plug(cord) => &model.cords[cord].name.value,
            Owner::Connector(id) => survey.whole(id),
            Owner::Inlet(inlet) => {
                let device = survey.graph.links.inlets[inlet as usize].device;
                &model.devices[device].name.value
            }
        }
    }
}
