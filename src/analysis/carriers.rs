//! What has outlets: strips, and devices that pass the power of an inlet on. What they are called, where they
//! stand, and what their outlets are.

use crate::finding::Fact;
use crate::graph::{Carrier, CordFeed, OutletId};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::optional::Stated;
use crate::model::pdus::Outlet;
use crate::model::places::{Rack, Zone};
use crate::model::value::{Id, Name, Named, Spanned};

use super::{Analysis, LoadGap};

impl<'a> Analysis<'a> {
    /// What a cord, or the first one of its line, is plugged into an outlet of; `None` at the receptacle of a
    /// circuit, and where it is not known.
    pub fn carrier_of(&self, cord: Id<Cord>) -> Option<Carrier> {
        match self.graph.links.line_feed(cord)? {
            CordFeed::Outlet(outlet) => Some(outlet.on),
            CordFeed::Receptacle(_) | CordFeed::Cord(_) => None,
        }
    }

    /// The outlet that a cord itself is plugged into.
    pub fn outlet_of(&self, cord: Id<Cord>) -> Option<&'a Named<Outlet>> {
        match self.graph.links.cord_feeds[cord.index()]? {
            CordFeed::Outlet(outlet) => self.outlet(outlet),
            CordFeed::Receptacle(_) | CordFeed::Cord(_) => None,
        }
    }

    /// An outlet as its model describes it.
    pub fn outlet(&self, id: OutletId) -> Option<&'a Named<Outlet>> {
        match id.on {
            Carrier::Pdu(pdu) => {
                let table = self.graph.links.outlet_table(pdu)?;
                Some(table.outlet(self.graph.pdu_model(self.model, pdu)?, id.number))
            }
            Carrier::Device(device) => {
                let model = self.graph.device_model(self.model, device)?;
                model.outlets.outlets.0.get(id.number as usize)
            }
        }
    }

    /// An outlet as a cord refers to it: `ph-1-a/3`.
    pub fn outlet_name(&self, id: OutletId) -> Name {
        let whole = &self.name_of_carrier(id.on).value;
        match self.outlet(id) {
            Some(own) => format!("{whole}/{}", own.name.value).into(),
            None => whole.clone(),
        }
    }

    /// The name of what has outlets.
    pub fn name_of_carrier(&self, carrier: Carrier) -> &'a Spanned<Name> {
        match carrier {
            Carrier::Pdu(pdu) => &self.model.pdus[pdu].name,
            Carrier::Device(device) => &self.model.devices[device].name,
        }
    }

    /// What it is and its name, for the middle of a sentence: `PDU ph-1-a`, `device panel-1`.
    pub fn describe_carrier(&self, carrier: Carrier) -> String {
        let name = &self.name_of_carrier(carrier).value;
        match carrier {
            Carrier::Pdu(_) => format!("PDU {name}"),
            Carrier::Device(_) => format!("device {name}"),
        }
    }

    /// The rack that it is in.
    pub fn rack_of_carrier(&self, carrier: Carrier) -> Option<Id<Rack>> {
        let links = &self.graph.links;
        match carrier {
            Carrier::Pdu(pdu) => links.pdu_racks[pdu.index()],
            Carrier::Device(device) => links.device_racks[device.index()],
        }
    }

    /// The zone that it is in.
    pub fn zone_of_carrier(&self, carrier: Carrier) -> Option<&'a Named<Zone>> {
        match carrier {
            Carrier::Pdu(pdu) => self.zone_of_pdu(pdu),
            Carrier::Device(device) => self.zone_of_device(device),
        }
    }

    /// What a key of an outlet's model should give; the model itself where that is not known.
    pub fn outlet_fact<V: Stated>(&self, id: OutletId, key: &str, field: Option<&V>) -> Fact {
        match id.on {
            Carrier::Pdu(pdu) => self.pdu_model_fact(pdu, |model| {
                Fact::of(model, format!("banks.outlets.{key}"), field)
            }),
            Carrier::Device(device) => self.device_model_fact(device, |model| {
                let within = model.outlets.key_of(id.number as usize);
                Fact::of(model, format!("outlets.{key}"), field).within(within.clone())
            }),
        }
    }

    /// Why the load of a device is in no sum though it is known: what feeds it is plugged into an outlet of
    /// which nobody can tell which inlet it is connected to.
    pub fn adrift_gap(&self, device: Id<Device>) -> Option<LoadGap> {
        let mut adrift = self.graph.adrift.iter();
        let adrift = adrift.find(|adrift| adrift.device == Some(device))?;
        let outlet = self.graph.links.outlet_above(adrift.what)?;
        let Carrier::Device(through) = outlet.on else {
            return None;
        };
        let model = self.graph.device_model(self.model, through)?;
        let inlet = model.outlets.inlet_of(outlet.number as usize);
        let fact = self.outlet_fact(outlet, "inlet", Some(inlet));
        Some(LoadGap {
            span: fact.span,
            why: "which inlet the outlet is connected to that it hangs on is not known",
            fact: Some(fact),
        })
    }
}
