//! Where the halves of a pair are.

use crate::graph::ElementKind;
use crate::model::places::Zone;
use crate::model::value::Named;
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
