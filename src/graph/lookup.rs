//! What references lead to. Nothing is said here of those that lead nowhere: that is explained where
//! the links are made.

use std::collections::hash_map::Entry;

use rustc_hash::FxHashMap;

use crate::model::Model;
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::text::Reference;
use crate::model::value::{Id, Section};

use super::links::{CordFeed, FarEnd, Links, Receiver};
use super::outlets::{Carrier, OutletId};

/// Looks names up among the definitions and the links that are known so far.
#[derive(Clone, Copy)]
pub(super) struct Lookup<'a> {
    pub model: &'a Model,
    pub links: &'a Links,
}

impl Lookup<'_> {
    /// What a cord is plugged into.
    pub(super) fn cord_feed(&self, from: &Reference) -> Option<CordFeed> {
        if let Some(circuit) = self.model.circuits.find(&from.0) {
            return Some(CordFeed::Receptacle(circuit));
        }
        if let Some(outlet) = self.outlet(from) {
            return Some(CordFeed::Outlet(outlet));
        }
        self.far_end(from).map(CordFeed::Cord)
    }

    /// The far end of a cord that `cord` or `cord/leg` refers to; that of a splitter is one of its legs.
    fn far_end(&self, from: &Reference) -> Option<FarEnd> {
        let cords = &self.model.cords;
        let legs = |cord: Id<Cord>| {
            let kind = self.links.cord_types[cord.index()]?;
            Some(&self.model.cord_types[kind].legs)
        };
        if let Some(cord) = cords.find(&from.0) {
            let is_plain = legs(cord).is_none_or(Section::is_empty);
            return is_plain.then_some((cord, None));
        }
        let cord = cords.find(from.owner())?;
        let (place, _) = legs(cord)?.named(from.part()?)?;
        Some((cord, Some(place as u32)))
    }

    /// What `pdu/outlet` or `device/outlet` refers to.
    pub(super) fn outlet(&self, from: &Reference) -> Option<OutletId> {
        let part = from.part()?;
        let on = self.carrier(from.owner())?;
        let number = match on {
            Carrier::Pdu(pdu) => self.links.outlet_table(pdu)?.find(part),
            Carrier::Device(device) => self.links.passed_on_table(device)?.find(part),
        };
        Some(OutletId {
            on,
            number: number?,
        })
    }

    /// The strip or device of that name; of both the strip.
    pub(super) fn carrier(&self, name: &str) -> Option<Carrier> {
        let pdu = self.model.pdus.find(name).map(Carrier::Pdu);
        pdu.or_else(|| self.model.devices.find(name).map(Carrier::Device))
    }

    /// A device that a reference names, whole or with one of its inlets; and that inlet's name.
    pub(super) fn device<'r>(&self, end: &'r Reference) -> Option<(Id<Device>, Option<&'r str>)> {
        let devices = &self.model.devices;
        let whole = || Some((devices.find(&end.0)?, None));
        // Nearly all name an inlet; a device may have a name with a `/` in it all the same.
        whole().or_else(|| Some((devices.find(end.owner())?, end.part())))
    }

    /// What a cord's end goes to.
    pub(super) fn receiver(&self, end: &Reference) -> Option<Receiver> {
        if let Some(pdu) = self.model.pdus.find(&end.0) {
            return Some(Receiver::Pdu(pdu));
        }
        let Some((device, part)) = self.device(end) else {
            return self.model.cords.find(&end.0).map(Receiver::Cord);
        };
        let device_model = self.links.device_models[device.index()]?;
        let inlets = &self.model.device_models[device_model].inlets;
        let place = match part {
            Some(part) => inlets.named(part)?.0 as u32,
            None => (inlets.len() == 1).then_some(0)?,
        };
        Some(Receiver::Inlet(
            self.links.first_inlet[device.index()] + place,
        ))
    }
}

/// Which cord has taken each outlet.
#[derive(Default)]
pub(super) struct Taken(FxHashMap<OutletId, Id<Cord>>);

impl Taken {
    /// Whether a cord has taken the outlet.
    pub(super) fn has(&self, outlet: OutletId) -> bool {
        self.0.contains_key(&outlet)
    }

    /// The cord that has taken the outlet already; if none has, it is now this one.
    pub(super) fn by(&mut self, outlet: OutletId, cord: Id<Cord>) -> Option<Id<Cord>> {
        match self.0.entry(outlet) {
            Entry::Occupied(first) => Some(*first.get()),
            Entry::Vacant(free) => {
                free.insert(cord);
                None
            }
        }
    }
}
