//! Who shares a type or a model that is at fault, for the rules that find many faults in one.

use rustc_hash::FxHashMap;

use crate::analysis::{Analysis, TypeOrModel};
use crate::model::value::Name;

/// Faults of one thing that each name all who share it. So many are never real: thousands of faults
/// in the type of thousands of cords must not take the product of both. What is found beyond them
/// counts as a fault of the thing itself.
const MOST_FAULTS: u32 = 8;

/// Tells who shares things, within bounds.
#[derive(Debug)]
pub struct Sharers<'a> {
    analysis: Analysis<'a>,
    asked: FxHashMap<TypeOrModel, u32>,
}

impl<'a> Sharers<'a> {
    /// Nothing was asked yet.
    pub fn of(analysis: &Analysis<'a>) -> Self {
        Self {
            analysis: *analysis,
            asked: FxHashMap::default(),
        }
    }

    /// All that are of a type or a model; nobody once too many faults of it have been found.
    pub fn names(&mut self, kind: TypeOrModel) -> Vec<Name> {
        let asked = self.asked.entry(kind).or_default();
        *asked += 1;
        if *asked > MOST_FAULTS {
            return Vec::new();
        }
        match kind {
            TypeOrModel::CordType(id) => self.analysis.cords_of(id).cloned().collect(),
            TypeOrModel::DeviceModel(id) => self.analysis.devices_of(id).cloned().collect(),
            TypeOrModel::PduModel(id) => self.analysis.pdus_of(id).cloned().collect(),
        }
    }

    /// The same by section and name; nobody for things of other sections, which none share.
    pub fn of_named(&mut self, section: &str, name: &str) -> Vec<Name> {
        let kind = TypeOrModel::find(self.analysis.model, section, name);
        kind.map_or_else(Vec::new, |kind| self.names(kind))
    }
}
