//! The outlets of strips that differ: of hundreds with one coupler the first.

use rustc_hash::FxHashSet;

use crate::model::Model;
use crate::model::pdus::{Bank, Outlet, PduModel};
use crate::model::value::{Id, Named};

/// Of every bank of every model of strips, the outlets of which each is the first with its coupler. Worked out once:
/// a site may have thousands of strips of a model.
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

    /// The outlets of a bank that differ, in the order written.
    pub(super) fn in_bank<'m>(
        &self,
        model: Id<PduModel>,
        (number, bank): (u32, &'m Bank),
    ) -> impl Iterator<Item = &'m Named<Outlet>> {
        let places = self.0[model.index()][number as usize].iter();
        let places: Vec<usize> = places.copied().collect();
        places.into_iter().map(|at| &bank.outlets.0[at])
    }
}

fn differing(bank: &Bank) -> Vec<usize> {
    let mut met = FxHashSet::default();
    let outlets = bank.outlets.0.iter().enumerate();
    let known = outlets.filter_map(|(at, outlet)| Some((at, outlet.coupler.coupler()?)));
    let first = known.filter(|(_, coupler)| met.insert(coupler.name.clone()));
    first.map(|(at, _)| at).collect()
}
