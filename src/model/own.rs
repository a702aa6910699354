//! What the names of parts that a site describes itself stand for, once all files are read.

mod cordages;
mod couplers;
mod latches;
mod told;

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::citation::Citation;
use crate::tables::cordage::Cordage;
use crate::tables::couplers::Coupler;
use crate::tables::retention;

use super::Model;
use super::catalogued::{Called, Catalogued};
use super::cords::CordType;
use super::decode::Record;
use super::dual_marks::Marked;
use super::fault::Noted;
use super::text::{CordageRef, RetentionRef, clip};
use super::value::{Field, Name, Named, Section};
use told::Told;

/// The parts of a site's own, by name, as far as enough is said of them to judge by.
#[derive(Clone, Debug, Default)]
pub struct OwnParts {
    /// Couplers.
    pub couplers: Own<Coupler>,
    /// Cordage types.
    pub cordages: Own<Cordage>,
    /// Latch systems.
    pub latches: Own<retention::Kind>,
}

impl OwnParts {
    /// Whether a section describes a part of that name too little to judge by.
    pub fn lack(&self, section: &str, name: &str) -> bool {
        match section {
            "coupler-types" => self.couplers.find(name).is_none(),
            "cordage-types" => self.cordages.find(name).is_none(),
            "latch-systems" => self.latches.find(name).is_none(),
            _ => false,
        }
    }
}

/// The parts of one kind.
#[derive(Clone, Debug)]
pub struct Own<T>(FxHashMap<Name, Arc<T>>);

// A derive would ask the same of `T`.
impl<T> Default for Own<T> {
    fn default() -> Self {
        Self(FxHashMap::default())
    }
}

/// Puts what the site says of its own parts in the place of their names.
pub(super) fn resolve(model: &mut Model, is_incomplete: bool, faults: &mut Vec<Noted>) -> OwnParts {
    let couplers = of_couplers(model, is_incomplete, faults);
    let cordages = of_cordages(model, is_incomplete, faults);
    let latches = of_latches(model, is_incomplete, faults);
    OwnParts {
        couplers,
        cordages,
        latches,
    }
}

fn of_couplers(model: &mut Model, is_incomplete: bool, faults: &mut Vec<Noted>) -> Own<Coupler> {
    let mut told = Told::new("coupler-types", &model.coupler_types, is_incomplete);
    let own = Own::of(&mut told, couplers::check, couplers::coupler);
    let mut put = |field: &mut _, section, thing| own.put(field, section, thing, &mut told);
    for (section, kind) in kinds(&mut model.cord_makes, &mut model.cord_types) {
        let name = &kind.name.value;
        put(&mut kind.item.plug, section, name);
        put(&mut kind.item.connector, section, name);
        for leg in kind.item.legs.items_mut() {
            put(&mut leg.item.connector, section, name);
        }
    }
    for strip in model.pdu_models.items_mut() {
        let name = &strip.name.value;
        put(&mut strip.item.plug, "pdu-models", name);
        let banks = strip.item.banks.items_mut();
        for outlet in banks.flat_map(|bank| &mut bank.item.outlets.0) {
            put(&mut outlet.item.coupler, "pdu-models", name);
        }
    }
    for kind in model.device_models.items_mut() {
        for inlet in kind.item.inlets.items_mut() {
            put(&mut inlet.item.coupler, "device-models", &kind.name.value);
        }
        for outlet in &mut kind.item.outlets.outlets.0 {
            put(&mut outlet.item.coupler, "device-models", &kind.name.value);
        }
    }
    for circuit in model.circuits.items_mut() {
        let receptacle = &mut circuit.item.receptacle;
        put(&mut receptacle.coupler, "circuits", &circuit.name.value);
    }
    faults.extend(told.faults());
    own
}

fn of_cordages(model: &mut Model, is_incomplete: bool, faults: &mut Vec<Noted>) -> Own<Cordage> {
    let mut told = Told::new("cordage-types", &model.cordage_types, is_incomplete);
    let own = Own::of(&mut told, cordages::check, cordages::cordage);
    let mut put = |marked: &mut Marked<CordageRef>, section, thing| {
        for mark in marked.marks_mut() {
            own.put(mark, section, thing, &mut told);
        }
    };
    for (section, kind) in kinds(&mut model.cord_makes, &mut model.cord_types) {
        let name = &kind.name.value;
        put(&mut kind.item.cordage, section, name);
        for leg in kind.item.legs.items_mut() {
            put(&mut leg.item.cordage, section, name);
        }
    }
    for strip in model.pdu_models.items_mut() {
        if let Field::Given(cord) = &mut strip.item.cord {
            put(&mut cord.value.cordage, "pdu-models", &strip.name.value);
        }
    }
    faults.extend(told.faults());
    own
}

fn of_latches(
    model: &mut Model,
    is_incomplete: bool,
    faults: &mut Vec<Noted>,
) -> Own<retention::Kind> {
    let mut told = Told::new("latch-systems", &model.latch_systems, is_incomplete);
    let own = Own::of(&mut told, latches::check, latches::kind);
    let mut put = |field: &mut Field<RetentionRef>, section, thing| {
        own.put(field, section, thing, &mut told);
    };
    for (section, kind) in kinds(&mut model.cord_makes, &mut model.cord_types) {
        if let Field::Given(ends) = &mut kind.item.retention {
            put(&mut ends.value.plug, section, &kind.name.value);
            put(&mut ends.value.connector, section, &kind.name.value);
        }
        for leg in kind.item.legs.items_mut() {
            put(&mut leg.item.retention, section, &kind.name.value);
        }
    }
    for strip in model.pdu_models.items_mut() {
        let name = &strip.name.value;
        put(&mut strip.item.retention, "pdu-models", name);
        let banks = strip.item.banks.items_mut();
        for outlet in banks.flat_map(|bank| &mut bank.item.outlets.0) {
            put(&mut outlet.item.latch, "pdu-models", name);
        }
    }
    for kind in model.device_models.items_mut() {
        for inlet in kind.item.inlets.items_mut() {
            put(&mut inlet.item.retention, "device-models", &kind.name.value);
        }
        for outlet in &mut kind.item.outlets.outlets.0 {
            put(&mut outlet.item.latch, "device-models", &kind.name.value);
        }
    }
    for circuit in model.circuits.items_mut() {
        let receptacle = &mut circuit.item.receptacle;
        put(&mut receptacle.latch, "circuits", &circuit.name.value);
    }
    faults.extend(told.faults());
    own
}

/// All that is a kind of cord, with the section that it stands in.
pub(super) fn kinds<'a>(
    makes: &'a mut Section<CordType>,
    types: &'a mut Section<CordType>,
) -> impl Iterator<Item = (&'static str, &'a mut Named<CordType>)> {
    let makes = makes.items_mut().map(|make| ("cord-makes", make));
    makes.chain(types.items_mut().map(|kind| ("cord-types", kind)))
}

impl<T: Called> Own<T> {
    /// All of them, by name.
    pub fn all(&self) -> impl Iterator<Item = &T> {
        let mut all: Vec<(&Name, &Arc<T>)> = self.0.iter().collect();
        all.sort_unstable_by_key(|(name, _)| *name);
        all.into_iter().map(|(_, own)| &**own)
    }

    /// The part of that name, if enough is said of it.
    pub fn find(&self, name: &str) -> Option<&T> {
        self.0.get(name).map(|own| &**own)
    }

    /// Looks at every part of a section and takes those of which enough is said.
    fn of<R: Record>(
        told: &mut Told<'_, R>,
        check: impl Fn(&mut Told<'_, R>, &Named<R>),
        read: impl Fn(&Named<R>) -> Option<T>,
    ) -> Self {
        let mut all = Self::default();
        for item in told.section.items() {
            check(told, item);
            if let Some(part) = read(item) {
                all.0.insert(item.name.value.clone(), Arc::new(part));
            }
        }
        all
    }

    /// What a field of a thing names, as the site describes it; unreadable where it does not say enough.
    fn put<R: Record>(
        &self,
        field: &mut Field<Catalogued<T>>,
        section: &str,
        thing: &Name,
        told: &mut Told<'_, R>,
    ) {
        let Field::Given(given) = field else { return };
        let Catalogued::Own(named) = &given.value else {
            return;
        };
        match self.0.get(named.called()) {
            Some(own) => given.value = Catalogued::Own(Arc::clone(own)),
            None => {
                told.unknown(named.called(), given.span, [section.into(), thing.clone()]);
                *field = Field::Unreadable(given.span);
            }
        }
    }
}

/// The source that a site names, as it is cited.
fn cited(source: &Field<Name>) -> Option<Citation> {
    Some(Citation::given_by_site(&clip(source.known()?)))
}

/// What is written, if it can be read.
fn written<T>(field: &Field<T>) -> Option<Option<&T>> {
    match field {
        Field::Absent => Some(None),
        Field::Given(given) => Some(Some(&given.value)),
        Field::Unreadable(_) => None,
    }
}

/// The row of the tables that a part is like, if any; `None` where that cannot be told.
fn like<T>(field: &Field<Catalogued<T>>) -> Option<Option<&'static T>> {
    match written(field)? {
        None => Some(None),
        Some(Catalogued::Listed(listed)) => Some(Some(listed)),
        Some(Catalogued::Own(_)) => None,
    }
}
