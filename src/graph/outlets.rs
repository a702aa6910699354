//! The outlets of a model under their names: of a strip across its banks, of a device that passes power on.

use rustc_hash::FxHashMap;

use crate::model::devices::{Device, DeviceModel};
use crate::model::fault::Fault;
use crate::model::pdus::{Outlet, Pdu, PduModel};
use crate::model::value::{Id, Name, Named};
use crate::source::Span;

/// What has outlets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Carrier {
    /// A strip.
    Pdu(Id<Pdu>),
    /// A device that passes the power of an inlet on.
    Device(Id<Device>),
}

/// An outlet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OutletId {
    /// What it is on.
    pub on: Carrier,
    /// Its number in the model of that, counted through.
    pub number: u32,
}

/// Where an outlet is in a model of strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct OutletSlot {
    /// Index of the bank in the model.
    pub bank: u32,
    /// Index of the outlet in the bank.
    pub outlet: u32,
}

/// All outlets of one model.
#[derive(Clone, Debug, Default)]
pub struct OutletTable {
    slots: Vec<OutletSlot>,
    by_name: FxHashMap<Name, u32>,
}

impl OutletTable {
    /// Numbers the outlets of `model` through, in the order written; a name used twice is a fault.
    pub fn new(model: &PduModel, faults: &mut Vec<Fault>) -> Self {
        let mut table = Self::default();
        for (bank, named) in model.banks.iter() {
            for (outlet, item) in named.outlets.0.iter().enumerate() {
                let slot = OutletSlot {
                    bank: bank.index() as u32,
                    outlet: outlet as u32,
                };
                let first = |first| table.outlet(model, first).name.span;
                match table.by_name.get(&item.name.value).copied().map(first) {
                    Some(first) => faults.push(repeated(item, first)),
                    None => table.add(item, slot),
                }
            }
        }
        table
    }

    fn add(&mut self, item: &Named<Outlet>, slot: OutletSlot) {
        self.by_name
            .insert(item.name.value.clone(), self.slots.len() as u32);
        self.slots.push(slot);
    }

    /// Number of an outlet, counted through all banks.
    pub fn find(&self, name: &str) -> Option<u32> {
        self.by_name.get(name).copied()
    }

    /// Where the outlet of this number is.
    pub fn slot(&self, outlet: u32) -> OutletSlot {
        self.slots[outlet as usize]
    }

    /// The outlet of this number.
    pub fn outlet<'m>(&self, model: &'m PduModel, outlet: u32) -> &'m Named<Outlet> {
        let slot = self.slot(outlet);
        &model.banks.items()[slot.bank as usize].outlets.0[slot.outlet as usize]
    }

    /// How many outlets there are.
    pub fn len(&self) -> usize {
        self.slots.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.slots.is_empty()
    }

    /// Names of all outlets, in order of their numbers.
    pub fn names<'m>(&'m self, model: &'m PduModel) -> impl Iterator<Item = &'m Name> {
        (0..self.slots.len() as u32).map(|outlet| &self.outlet(model, outlet).name.value)
    }
}

/// The outlets of a model of devices.
#[derive(Clone, Debug, Default)]
pub struct PassedOnTable {
    by_name: FxHashMap<Name, u32>,
    /// What each is connected to; `None` where nobody can tell.
    behind: Vec<Option<Behind>>,
}

/// What an outlet of a device is connected to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Behind {
    /// An inlet, by its place in the model.
    Inlet(u32),
    /// One or the other of two inlets: the device is a transfer switch.
    Switch,
}

impl PassedOnTable {
    /// Numbers the outlets of `model` in the order written; a name used twice is a fault.
    pub fn new(model: &DeviceModel, faults: &mut Vec<Fault>) -> Self {
        let mut table = Self::default();
        let outlets = &model.outlets.outlets.0;
        for (number, (item, inlet)) in model.outlets.iter().enumerate() {
            match table.by_name.get(&item.name.value) {
                Some(&first) => faults.push(repeated(item, outlets[first as usize].name.span)),
                None => {
                    let name = item.name.value.clone();
                    table.by_name.insert(name, number as u32);
                }
            }
            table.behind.push(match inlet.written() {
                Ok(None) => Behind::without_word(model),
                Ok(Some(name)) => {
                    let inlet = model.inlets.named(&name.value);
                    inlet.map(|(at, _)| Behind::Inlet(at as u32))
                }
                Err(_) => None,
            });
        }
        table
    }

    /// Number of an outlet.
    pub fn find(&self, name: &str) -> Option<u32> {
        self.by_name.get(name).copied()
    }

    /// What an outlet is connected to; `None` where nobody can tell.
    pub fn behind(&self, outlet: u32) -> Option<Behind> {
        self.behind[outlet as usize]
    }

    /// How many outlets there are.
    pub fn len(&self) -> usize {
        self.behind.len()
    }
}

impl Behind {
    /// What an outlet is connected to of which nothing is said.
    pub fn without_word(model: &DeviceModel) -> Option<Self> {
        match (model.transfer.written(), model.inlets.len()) {
            (Ok(None), 1) => Some(Self::Inlet(0)),
            (Ok(Some(_)), 2) => Some(Self::Switch),
            _ => None,
        }
    }
}

fn repeated(item: &Named<Outlet>, first: Span) -> Fault {
    Fault::Repeated {
        name: item.name.value.clone(),
        what: "outlet",
        first,
        again: item.name.span,
    }
}
