//! What came, went and is there: things by name, devices by their watts.

use std::collections::BTreeSet;

use crate::flow::Flows;
use crate::model::Model;
use crate::model::value::{Name, Section};

/// The things of a site before and after a change, kind by kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Balance {
    /// Kinds of thing, in the order of the power's way.
    pub ledgers: Vec<Ledger>,
    /// Watts of all devices before the change.
    pub watts_before: Watts,
    /// Watts of all devices after it.
    pub watts_now: Watts,
    /// Watts of the devices that went.
    pub watts_gone: Watts,
    /// Watts of the devices that came.
    pub watts_come: Watts,
}

/// One kind of thing before and after a change.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ledger {
    /// One of it.
    pub one: &'static str,
    /// Several of it.
    pub many: &'static str,
    /// How many there were.
    pub before: usize,
    /// How many there are.
    pub now: usize,
    /// The names of those that went, sorted.
    pub gone: Vec<Name>,
    /// The names of those that came, sorted.
    pub come: Vec<Name>,
}

/// A sum of active powers, and how many devices it lacks because their power is not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Watts {
    /// The sum of what is known, in watts.
    pub known: f64,
    /// Devices that are not in it.
    pub unknown: usize,
}

/// One state of a site.
type State<'a> = (&'a Model, &'a Flows);

impl Balance {
    /// Draws up the balance of two states.
    pub fn of(before: State<'_>, now: State<'_>) -> Self {
        let (old, new) = (before.0, now.0);
        let devices = ledger("device", "devices", &old.devices, &new.devices);
        let only = |names: &[Name]| -> BTreeSet<Name> { names.iter().cloned().collect() };
        let (gone, come) = (only(&devices.gone), only(&devices.come));
        Self {
            watts_before: watts(before, |_| true),
            watts_now: watts(now, |_| true),
            watts_gone: watts(before, |name| gone.contains(name)),
            watts_come: watts(now, |name| come.contains(name)),
            ledgers: vec![
                ledger("supply", "supplies", &old.supplies, &new.supplies),
                ledger("circuit", "circuits", &old.circuits, &new.circuits),
                ledger("PDU", "PDUs", &old.pdus, &new.pdus),
                devices,
                ledger("cord", "cords", &old.cords, &new.cords),
            ],
        }
    }

    /// Whether anything came or went, or any load moved by a watt.
    pub fn is_moved(&self) -> bool {
        let things = self.ledgers.iter();
        let things = things.map(|ledger| ledger.gone.len() + ledger.come.len());
        let watts = (self.watts_before.known - self.watts_now.known).abs() >= 1.0;
        things.sum::<usize>() > 0 || watts || self.watts_before.unknown != self.watts_now.unknown
    }
}

fn ledger<T>(
    one: &'static str,
    many: &'static str,
    before: &Section<T>,
    now: &Section<T>,
) -> Ledger {
    let apart = |these: &Section<T>, others: &Section<T>| -> Vec<Name> {
        let names = these
            .names()
            .filter(|name| others.find(&name.value).is_none());
        let mut names: Vec<Name> = names.map(|name| name.value.clone()).collect();
        names.sort();
        names
    };
    Ledger {
        one,
        many,
        before: before.len(),
        now: now.len(),
        gone: apart(before, now),
        come: apart(now, before),
    }
}

fn watts((model, flows): State<'_>, counts: impl Fn(&Name) -> bool) -> Watts {
    let mut sum = Watts::default();
    for (id, device) in model.devices.iter() {
        if !counts(&device.name.value) {
            continue;
        }
        let load = flows.loads.device(id);
        match load.basis {
            Ok(_) => sum.known += load.power.re,
            Err(_) => sum.unknown += 1,
        }
    }
    sum
}
