//! The outlets of a PDU model under their names, across its banks.

use rustc_hash::FxHashMap;

use crate::model::fault::Fault;
use crate::model::pdus::{Outlet, PduModel};
use crate::model::value::{Name, Named};

/// Where an outlet is in its model.
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
                table.add(model, item, slot, faults);
            }
        }
        table
    }

    fn add(
        &mut self,
        model: &PduModel,
        item: &Named<Outlet>,
        slot: OutletSlot,
        faults: &mut Vec<Fault>,
    ) {
        if let Some(&first) = self.by_name.get(&item.name.value) {
            let first = self.outlet(model, first).name.span;
            let (name, again) = (item.name.value.clone(), item.name.span);
            return faults.push(Fault::Repeated {
                name,
                what: "outlet",
                first,
                again,
            });
        }
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
