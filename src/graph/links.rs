//! Which thing refers to which, by ids.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use crate::model::circuits::{Circuit, Supply};
use crate::model::cords::{Cord, CordType};
use crate::model::devices::{Device, DeviceModel};
use crate::model::pdus::{Pdu, PduModel};
use crate::model::places::{Rack, Zone};
use crate::model::value::{Id, Name};
use crate::source::Span;

use super::build::Plugged;
use super::outlets::{Behind, Carrier, OutletId, OutletTable, PassedOnTable};
use super::switches::SwitchLink;

/// What a cord is plugged into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CordFeed {
    /// An outlet of a PDU, or of a device that passes power on.
    Outlet(OutletId),
    /// The receptacle of a circuit.
    Receptacle(Id<Circuit>),
    /// The connector of another cord, or of a leg of a splitter: a joint in the line.
    Cord(FarEnd),
}

/// What feeds a PDU.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PduFeed {
    /// The receptacle of a circuit.
    Circuit(Id<Circuit>),
    /// An outlet of another PDU, or of a device that passes power on.
    Outlet(OutletId),
    /// A cord, or a leg of a splitter.
    Cord(Id<Cord>, Option<u32>),
}

/// What an end of a cord goes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Receiver {
    /// An inlet, by its number in [`Links::inlets`].
    Inlet(u32),
    /// The input of a PDU.
    Pdu(Id<Pdu>),
    /// The plug of another cord, which goes on from there.
    Cord(Id<Cord>),
    /// Nothing that is known.
    Unknown,
}

/// One far end of a cord.
#[derive(Clone, Copy, Debug)]
pub struct CordEnd {
    /// The leg, by its place in the cord type; `None` for a plain cord.
    pub leg: Option<u32>,
    /// Where the definitions say so.
    pub span: Span,
    /// What it goes to.
    pub at: Receiver,
}

/// A far end of a cord: of a plain one its only end, of a splitter one of its legs, by its place in the type.
pub type FarEnd = (Id<Cord>, Option<u32>);

/// A thing on the way of the power, that something else may hang on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hop {
    /// A circuit.
    Circuit(Id<Circuit>),
    /// A strip.
    Pdu(Id<Pdu>),
    /// An outlet of a device that passes power on, by its number in the model.
    Through(Id<Device>, u32),
    /// A cord.
    Cord(Id<Cord>),
}

/// An inlet of a device.
#[derive(Clone, Copy, Debug)]
pub struct InletLink {
    /// The device.
    pub device: Id<Device>,
    /// Its place among the inlets of the model.
    pub inlet: u32,
    /// The cord, and the leg of a splitter, that feeds it.
    pub fed_by: Option<FarEnd>,
}

/// All references of a site. Every list goes by the index of the thing that refers.
#[derive(Clone, Debug, Default)]
pub struct Links {
    /// Zones of racks.
    pub rack_zones: Vec<Option<Id<Zone>>>,
    /// The supplies that supplies are fed from.
    pub supply_sources: Vec<Option<Id<Supply>>>,
    /// Supplies of circuits.
    pub circuit_supplies: Vec<Option<Id<Supply>>>,
    /// Models of PDUs.
    pub pdu_models: Vec<Option<Id<PduModel>>>,
    /// Racks of PDUs.
    pub pdu_racks: Vec<Option<Id<Rack>>>,
    /// Feeds of PDUs.
    pub pdu_feeds: Vec<Option<PduFeed>>,
    /// Outlets of PDU models.
    pub outlets: Vec<OutletTable>,
    /// Outlets of device models.
    pub passed_on: Vec<PassedOnTable>,
    /// Models of devices.
    pub device_models: Vec<Option<Id<DeviceModel>>>,
    /// Racks of devices.
    pub device_racks: Vec<Option<Id<Rack>>>,
    /// Zones of devices that are in no rack.
    pub device_zones: Vec<Option<Id<Zone>>>,
    /// First inlet of each device in `inlets`; one entry more than there are devices.
    pub(super) first_inlet: Vec<u32>,
    /// All inlets, device by device.
    pub inlets: Vec<InletLink>,
    /// The transfer switches among the devices.
    pub switches: BTreeMap<Id<Device>, SwitchLink>,
    /// Types of cords.
    pub cord_types: Vec<Option<Id<CordType>>>,
    /// Makes of cord types.
    pub makes: Vec<Option<Id<CordType>>>,
    /// Makes that are offered.
    pub offered: Vec<Option<Id<CordType>>>,
    /// Feeds of cords.
    pub cord_feeds: Vec<Option<CordFeed>>,
    pub(super) first_end: Vec<u32>,
    pub(super) ends: Vec<CordEnd>,
    /// The end of each leg of a splitter; of several the first.
    pub(super) leg_ends: FxHashMap<(Id<Cord>, u32), u32>,
    pub(super) bundles: FxHashMap<Name, u32>,
    /// How many cords of one line are looked at: more in a row are not judged.
    pub(super) most_in_a_row: usize,
}

impl Links {
    /// The inlets of a device, with their numbers.
    pub fn inlets_of(
        &self,
        device: Id<Device>,
    ) -> impl ExactSizeIterator<Item = (u32, &InletLink)> {
        let range = self.first_inlet[device.index()]..self.first_inlet[device.index() + 1];
        range.map(|number| (number, &self.inlets[number as usize]))
    }

    /// The far ends of a cord.
    pub fn cord_ends(&self, cord: Id<Cord>) -> &[CordEnd] {
        &self.ends[self.first_end[cord.index()] as usize..self.first_end[cord.index() + 1] as usize]
    }

    /// The far end of a cord that is no splitter, or of a leg.
    pub fn cord_end(&self, cord: Id<Cord>, leg: Option<u32>) -> Option<&CordEnd> {
        match leg {
            None => self.cord_ends(cord).iter().find(|end| end.leg.is_none()),
            Some(leg) => Some(&self.ends[*self.leg_ends.get(&(cord, leg))? as usize]),
        }
    }

    /// How many cords lie in a bundle.
    pub fn bundle_size(&self, bundle: &Name) -> u32 {
        self.bundles.get(bundle).copied().unwrap_or(0)
    }

    /// The outlet table of a PDU's model.
    pub fn outlet_table(&self, pdu: Id<Pdu>) -> Option<&OutletTable> {
        Some(&self.outlets[self.pdu_models[pdu.index()]?.index()])
    }

    /// The outlet table of a device's model.
    pub fn passed_on_table(&self, device: Id<Device>) -> Option<&PassedOnTable> {
        Some(&self.passed_on[self.device_models[device.index()]?.index()])
    }

    /// How many outlets a strip or a device has.
    pub fn outlets_on(&self, carrier: Carrier) -> u32 {
        let count = match carrier {
            Carrier::Pdu(pdu) => self.outlet_table(pdu).map(OutletTable::len),
            Carrier::Device(device) => self.passed_on_table(device).map(PassedOnTable::len),
        };
        count.unwrap_or(0) as u32
    }

    /// The number of the inlet whose power an outlet of a device passes on, of a transfer switch in the normal
    /// state; `None` where nobody can tell.
    pub fn inlet_behind(&self, device: Id<Device>, outlet: u32) -> Option<u32> {
        match self.passed_on_table(device)?.behind(outlet)? {
            Behind::Inlet(inlet) => Some(self.first_inlet[device.index()] + inlet),
            Behind::Switch => Some(self.switches.get(&device)?.active),
        }
    }

    /// Whether an outlet is one of a transfer switch, which feeds it from one inlet or the other.
    pub fn is_switched(&self, outlet: OutletId) -> bool {
        let Carrier::Device(device) = outlet.on else {
            return false;
        };
        let table = self.passed_on_table(device);
        table.is_some_and(|table| table.behind(outlet.number) == Some(Behind::Switch))
    }

    /// The far end that what is plugged into an outlet of a device hangs on.
    pub fn end_behind(&self, device: Id<Device>, outlet: u32) -> Option<FarEnd> {
        let inlet = self.inlet_behind(device, outlet)?;
        self.inlets[inlet as usize].fed_by
    }

    /// The outlet that something is plugged into.
    pub fn outlet_above(&self, plugged: Plugged) -> Option<OutletId> {
        match plugged {
            Plugged::Cord(cord) => match self.cord_feeds[cord.index()]? {
                CordFeed::Outlet(outlet) => Some(outlet),
                CordFeed::Receptacle(_) | CordFeed::Cord(_) => None,
            },
            Plugged::Pdu(pdu) => match self.pdu_feeds[pdu.index()]? {
                PduFeed::Outlet(outlet) => Some(outlet),
                PduFeed::Circuit(_) | PduFeed::Cord(..) => None,
            },
        }
    }

    /// The thing that a thing hangs on; `None` for a circuit, and where nobody knows it.
    pub fn above(&self, hop: Hop) -> Option<Hop> {
        let outlet = |outlet: OutletId| match outlet.on {
            Carrier::Pdu(pdu) => Hop::Pdu(pdu),
            Carrier::Device(device) => Hop::Through(device, outlet.number),
        };
        match hop {
            Hop::Circuit(_) => None,
            Hop::Pdu(pdu) => Some(match self.pdu_feeds[pdu.index()]? {
                PduFeed::Circuit(circuit) => Hop::Circuit(circuit),
                PduFeed::Outlet(from) => outlet(from),
                PduFeed::Cord(cord, _) => Hop::Cord(cord),
            }),
            Hop::Through(device, outlet) => {
                let (cord, _) = self.end_behind(device, outlet)?;
                Some(Hop::Cord(cord))
            }
            Hop::Cord(cord) => Some(match self.cord_feeds[cord.index()]? {
                CordFeed::Receptacle(circuit) => Hop::Circuit(circuit),
                CordFeed::Outlet(from) => outlet(from),
                CordFeed::Cord((upper, _)) => Hop::Cord(upper),
            }),
        }
    }
}
