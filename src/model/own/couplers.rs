//! What a site says of couplers of its own, and what is wrong with it.

use crate::citation::Cited;
use crate::model::coupler_types::{Half, OwnCoupler};
use crate::model::text::{CouplerRef, clip};
use crate::model::value::{Field, Named, Spanned};
use crate::quantity::Temperature;
use crate::tables::couplers::Own;
use crate::tables::couplers::{self, Coupler, Role, Side};

use super::told::Told;
use super::{cited, like, written};

/// What a site says of a coupler of its own; `None` where that is not enough to judge by.
pub(super) fn coupler(item: &Named<OwnCoupler>) -> Option<Coupler> {
    let citation = cited(&item.source)?;
    let as_given = |value: Temperature| Cited {
        value,
        citation: citation.clone(),
    };
    let like = like(&item.like)?;
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
        hottest_air: written(&item.ambient)?.copied().map(as_given),
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
        coupler.pin_temperature = Some(as_given(*pins));
    }
    if let Some(one_way) = written(&item.one_way)? {
        coupler.polarised = Some(one_way.0);
    }
    Some(coupler)
}

/// Looks at what is said of one coupler.
pub(super) fn check(told: &mut Told<'_, OwnCoupler>, item: &Named<OwnCoupler>) {
    let listed = couplers::find(&item.name.value).map(|listed| &listed.citation);
    told.check_name(item, listed);
    told.check_like(item, &item.like);
    check_shape(told, item);
    if item.like.is_absent() {
        told.check_missing(
            item,
            [
                ("half", item.half.is_absent()),
                ("poles", item.poles.is_absent()),
                ("current", item.current.is_absent()),
                ("voltage", item.voltage.is_absent()),
                ("mates", item.mates.is_absent()),
            ],
        );
    }
    check_mates(told, item);
}

fn check_shape(told: &mut Told<'_, OwnCoupler>, item: &Named<OwnCoupler>) {
    let Some(like) = item.like.given() else {
        return;
    };
    let written = [item.half.span(), item.poles.span()];
    for span in written.into_iter().flatten() {
        let headline = format!(
            "a coupler that is like {} has its half and its poles",
            like.value.name
        );
        let advice = "Take it away; or take `like` away, and describe the coupler in full.";
        told.bad(item, "like", span, headline, advice);
    }
}

fn check_mates(told: &mut Told<'_, OwnCoupler>, item: &Named<OwnCoupler>) {
    let Some(mates) = item.mates.given() else {
        return;
    };
    if mates.value.0.is_empty() && item.like.is_absent() {
        let headline = "it goes together with nothing, so that nobody can use it".to_owned();
        let advice =
            "Name the plugs or inlets that enter it, or the outlets that it enters, like [C14].";
        told.bad(item, "mates", mates.span, headline, advice);
    }
    for mate in &mates.value.0 {
        check_mate(told, item, mate);
    }
}

fn check_mate(
    told: &mut Told<'_, OwnCoupler>,
    item: &Named<OwnCoupler>,
    mate: &Spanned<CouplerRef>,
) {
    let name = &mate.value.name;
    let other = match &mate.value {
        CouplerRef::Listed(listed) => Some(listed.role),
        CouplerRef::Own(_) => match told.section.named(name) {
            Some((_, other)) => role(other),
            None => {
                let path = ["coupler-types".into(), item.name.value.clone()];
                return told.unknown(name, mate.span, path);
            }
        },
    };
    let Some((own, other)) = role(item).zip(other) else {
        return;
    };
    if !may_mate(own, other) {
        let half = match own {
            Role::Contacts => "contacts",
            Role::Pins | Role::Either => "pins",
        };
        let headline = format!("{} has {half}, as the coupler itself has", clip(name));
        let advice = "Name the other half; in each IEC 60320 pair the odd number has contacts, the even one pins.";
        told.bad(item, "mates", mate.span, headline, advice);
    }
}

/// The part that a coupler of the site's own plays in a pair, where it is said.
fn role(item: &OwnCoupler) -> Option<Role> {
    match &item.like {
        Field::Given(like) => Some(like.value.role),
        Field::Absent => item.half.known().copied().map(Half::role),
        Field::Unreadable(_) => None,
    }
}

/// Whether two halves can belong to one pair at all.
fn may_mate(role: Role, other: Role) -> bool {
    let are_a_pair =
        |contacts: Role, pins: Role| contacts.may_be(Side::Contacts) && pins.may_be(Side::Pins);
    are_a_pair(role, other) || are_a_pair(other, role)
}
