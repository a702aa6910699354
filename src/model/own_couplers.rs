//! What the names of a site's own couplers stand for, once all files are read.

mod told;

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::citation::{Citation, Cited};
use crate::quantity::Temperature;
use crate::tables::couplers::{Coupler, Own};

use super::Model;
use super::coupler_types::{Half, OwnCoupler};
use super::fault::Noted;
use super::text::{CouplerRef, clip};
use super::value::{Field, Name, Named, Section};
use told::Told;

/// Puts what the site says of its own couplers in the place of their names.
pub(super) fn resolve(
    model: &mut Model,
    is_incomplete: bool,
    faults: &mut Vec<Noted>,
) -> OwnCouplers {
    let mut told = Told::new(&model.coupler_types, is_incomplete);
    let own = OwnCouplers::of(&model.coupler_types, &mut told);
    let mut put = |field: &mut Field<CouplerRef>, section: &str, thing: &Name| {
        own.put(field, [section.into(), thing.clone()], &mut told);
    };
    for kind in model.cord_types.items_mut() {
        let name = &kind.name.value;
        put(&mut kind.item.plug, "cord-types", name);
        put(&mut kind.item.connector, "cord-types", name);
        for leg in kind.item.legs.items_mut() {
            put(&mut leg.item.connector, "cord-types", name);
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
    }
    for circuit in model.circuits.items_mut() {
        put(
            &mut circuit.item.receptacle.coupler,
            "circuits",
            &circuit.name.value,
        );
    }
    faults.extend(told.faults());
    own
}

/// The couplers of a site's own, by name, as far as enough is said of them.
#[derive(Clone, Debug, Default)]
pub struct OwnCouplers(FxHashMap<Name, Arc<Coupler>>);

impl OwnCouplers {
    /// The coupler of that name, if enough is said of it.
    pub fn find(&self, name: &str) -> Option<&Coupler> {
        self.0.get(name).map(|own| &**own)
    }

    fn of(section: &Section<OwnCoupler>, told: &mut Told<'_>) -> Self {
        let mut all = Self::default();
        for item in section.items() {
            told.check(item);
            if let Some(coupler) = coupler(item) {
                all.0.insert(item.name.value.clone(), Arc::new(coupler));
            }
        }
        all
    }

    /// What a field names, as the site describes it; unreadable where it does not say enough.
    fn put(&self, field: &mut Field<CouplerRef>, path: [Name; 2], told: &mut Told<'_>) {
        let Field::Given(given) = field else { return };
        let CouplerRef::Own(named) = &given.value else {
            return;
        };
        match self.0.get(named.name.as_str()) {
            Some(own) => given.value = CouplerRef::Own(Arc::clone(own)),
            None => {
                told.unknown(&named.name, given.span, path);
                *field = Field::Unreadable(given.span);
            }
        }
    }
}

/// What a site says of a coupler of its own; `None` where that is not enough to judge by.
fn coupler(item: &Named<OwnCoupler>) -> Option<Coupler> {
    let citation = Citation::given_by_site(&clip(item.source.known()?));
    let cited = |value: Temperature| Cited {
        value,
        citation: citation.clone(),
    };
    let like = like(item)?;
    let mates = written(&item.mates)?.map(|mates| &mates.0);
    let facts = Own {
        mates: mates
            .into_iter()
            .flatten()
            .map(|mate| mate.value.name.clone())
            .collect(),
        like,
        holds: written(&item.holds)?
            .copied()
            .or(like.and_then(Coupler::held_by_shape)),
        hottest_air: written(&item.ambient)?.copied().map(cited),
    };
    let name = &item.name.value;
    let mut coupler = match like {
        Some(like) => Coupler::own_like(name, like, facts, citation.clone()),
        None => {
            let (half, poles) = (item.half.known()?, item.poles.known()?);
            Coupler::own(
                name,
                Half::role(*half),
                poles.poles,
                poles.earth,
                facts,
                citation.clone(),
            )
        }
    };
    match written(&item.current)? {
        Some(current) => coupler.rate(*current),
        None => like.map(|_| ())?,
    }
    match written(&item.voltage)? {
        Some(voltage) => coupler.bear(*voltage),
        None => like.map(|_| ())?,
    }
    if let Some(pins) = written(&item.temperature)? {
        coupler.pin_temperature = Some(cited(*pins));
    }
    if let Some(one_way) = written(&item.one_way)? {
        coupler.polarised = Some(one_way.0);
    }
    Some(coupler)
}

/// What is written, if it can be read.
fn written<T>(field: &Field<T>) -> Option<Option<&T>> {
    match field {
        Field::Absent => Some(None),
        Field::Given(given) => Some(Some(&given.value)),
        Field::Unreadable(_) => None,
    }
}

/// The coupler of the tables that it is like, if any; `None` where that cannot be told.
fn like(item: &OwnCoupler) -> Option<Option<&'static Coupler>> {
    match written(&item.like)? {
        None => Some(None),
        Some(CouplerRef::Listed(listed)) => Some(Some(listed)),
        Some(CouplerRef::Own(_)) => None,
    }
}
