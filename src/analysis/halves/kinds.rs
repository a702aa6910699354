//! The outlets of strips that differ: of hundreds alike the first.

use rustc_hash::FxHashSet;

use crate::model::Model;
use crate::model::pdus::{Bank, PduModel};
use crate::model::value::{Field, Id};

/// Of every bank of every model of strips, the outlets of which each is the first with its coupler and its degree of
/// protection, by their places. Worked out once: a site may have thousands of strips of a model.
#[derive(Debug)]
pub struct OutletKinds(Vec<Vec<Vec<usize>>>);

impl OutletKinds {
    pub(in crate::analysis) fn of(model: &Model) -> Self {
        let models = model.pdu_models.iter();
        let banks = models.map(|(_, model)| {
            let banks = model.banks.items().iter();
            banks.map(|bank| differing(bank)).collect()
        });
        Self(banks.collect())
    }

    /// The places of the outlets of a bank that differ, in the order written.
    pub(super) fn in_bank(&self, model: Id<PduModel>, bank: u32) -> &[usize] {
        &self.0[model.index()][bank as usize]
    }
}

/// Each degree of protection that cannot be read is asked for, so that these are all kept.
fn differing(bank: &Bank) -> Vec<usize> {
    let mut met = FxHashSet::default();
    let outlets = bank.outlets.0.iter().enumerate();
    let known =
        outlets.filter_map(|(at, outlet)| Some((at, outlet.coupler.coupler()?, &outlet.ip)));
    let first = known.filter(|(_, coupler, ip)| match ip {
        Field::Unreadable(_) => true,
        Field::Absent | Field::Given(_) => met.insert((coupler.name.clone(), ip.known().copied())),
    });
    first.map(|(at, ..)| at).collect()
}
