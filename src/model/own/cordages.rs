//! What a site says of cordages of its own, and what is wrong with it.

use crate::model::cordage_types::{InsulatedWith, MadeBy, OwnCordage, Treated};
use crate::model::text::YesNo;
use crate::model::value::{Field, Named};
use crate::tables::cordage::{self, Cordage, Sizes};

use super::told::Told;
use super::{cited, like, written};

/// Looks at what is said of one cordage.
pub(super) fn check(told: &mut Told<'_, OwnCordage>, item: &Named<OwnCordage>) {
    let listed = cordage::find(&item.name.value).map(|listed| &listed.citation);
    told.check_name(item, listed);
    told.check_like(item, &item.like);
    if item.like.is_absent() {
        told.check_missing(
            item,
            [
                ("made-by", item.made_by.is_absent()),
                ("voltage", item.voltage.is_absent()),
                ("earth-voltage", item.earth_voltage.is_absent()),
                ("temperature", item.temperature.is_absent()),
                ("insulation", item.insulation.is_absent()),
                ("sizes", item.sizes.is_absent()),
                ("duty", item.duty.is_absent()),
            ],
        );
    }
    check_voltages(told, item);
}

/// No cordage bears more from a conductor to earth than between two conductors.
fn check_voltages(told: &mut Told<'_, OwnCordage>, item: &Named<OwnCordage>) {
    let like = item.like.row().map(|like| like.voltage);
    let between = item
        .voltage
        .known()
        .copied()
        .or(like.map(|like| like.between));
    let to_earth = item
        .earth_voltage
        .known()
        .copied()
        .or(like.map(|like| like.to_earth));
    let written = item.earth_voltage.span().or(item.voltage.span());
    if let (Some(between), Some(to_earth), Some(span)) = (between, to_earth, written)
        && to_earth > between
    {
        let headline =
            "it would bear more to earth (ground) than between two conductors, as no cordage does"
                .to_owned();
        let advice =
            "Of U0/U on the data sheet, `earth-voltage` is the first and `voltage` the second.";
        told.bad(item, "earth-voltage", span, headline, advice);
    }
}

/// What a site says of a cordage of its own; `None` where that is not enough to judge by.
pub(super) fn cordage(item: &Named<OwnCordage>) -> Option<Cordage> {
    let citation = cited(&item.source)?;
    let name = item.name.value.clone();
    let like = like(&item.like)?;
    let mut cordage = match like {
        Some(like) => Cordage::own_like(name, like, citation.clone()),
        None => Cordage {
            citation: citation.clone(),
            ..Cordage::own_by_name(&name)
        },
    };
    let is_like = like.is_some();
    put(&item.made_by, is_like, &mut cordage.family, MadeBy::family)?;
    put(
        &item.voltage,
        is_like,
        &mut cordage.voltage.between,
        |volts| volts,
    )?;
    put(
        &item.earth_voltage,
        is_like,
        &mut cordage.voltage.to_earth,
        |volts| volts,
    )?;
    put(
        &item.temperature,
        is_like,
        &mut cordage.conductor_temperature,
        |heat| heat,
    )?;
    put(
        &item.insulation,
        is_like,
        &mut cordage.insulation,
        InsulatedWith::insulation,
    )?;
    put(
        &item.duty,
        is_like,
        &mut cordage.service.duty,
        Treated::duty,
    )?;
    match written(&item.sizes)? {
        Some(sizes) => cordage.sizes = Sizes::of(sizes.0.clone(), citation.clone()),
        None => like.map(|_| ())?,
    }
    say(&item.halogen_free, &mut cordage.service.halogen_free);
    say(&item.oil, &mut cordage.service.oil_resistant);
    say(&item.wet, &mut cordage.service.wet);
    cordage.service.citation = citation;
    Some(cordage)
}

/// Takes what is written, or leaves what is there where the cordage is like another; `None` where neither
/// can be.
fn put<W: Copy, T>(
    field: &Field<W>,
    is_like: bool,
    to: &mut T,
    meant: impl Fn(W) -> T,
) -> Option<()> {
    match written(field)? {
        Some(value) => *to = meant(*value),
        None if is_like => {}
        None => return None,
    }
    Some(())
}

/// An answer that may be missing; what cannot be read is not known.
fn say(field: &Field<YesNo>, to: &mut Option<bool>) {
    match field {
        Field::Given(given) => *to = Some(given.value.0),
        Field::Unreadable(_) => *to = None,
        Field::Absent => {}
    }
}
