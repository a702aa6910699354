//! What a site says of latch systems of its own, and what is wrong with it.

use crate::model::catalogued::Catalogued;
use crate::model::latch_systems::LatchSystem;
use crate::model::value::Named;
use crate::tables::retention::{Kind, Needs, Retention};

use super::told::Told;
use super::{cited, like, written};

/// Looks at what is said of one system.
pub(super) fn check(told: &mut Told<'_, LatchSystem>, item: &Named<LatchSystem>) {
    let listed = Retention::find(&item.name.value).map(|listed| &listed.kind().citation);
    told.check_name(item, listed);
    told.check_like(item, &item.like);
    check_kind(told, item);
    check_mates(told, item);
}

/// A latch is a part of its own: friction and the shape of blades are none.
fn check_kind(told: &mut Told<'_, LatchSystem>, item: &Named<LatchSystem>) {
    let Some(like) = item.like.given() else {
        return;
    };
    if let Catalogued::Listed(kind) = like.value
        && !may_be_a_system(kind)
    {
        let headline = format!("{} is no latch", kind.name);
        let advice = "Name the kind that it is: pin-grip, shroud-latch, outlet-latch, bail or screw-ring. A coupler that holds by its own shape is described under `coupler-types`, with `holds`.";
        told.bad(item, "like", like.span, headline, advice);
    }
}

fn may_be_a_system(kind: &Kind) -> bool {
    !matches!(
        kind.needs,
        Needs::Nothing | Needs::SameLockingConfiguration | Needs::MatchingPinAndSleeve
    )
}

fn check_mates(told: &mut Told<'_, LatchSystem>, item: &Named<LatchSystem>) {
    let Some(mates) = item.mates.given() else {
        return;
    };
    let kind = item.like.row();
    if let Some(kind) = kind.filter(|kind| kind.holds_on_plain_mate) {
        let headline = format!("{} holds on any standard mate: none is named", kind.name);
        let advice = "Take it away; or name the kind under `like` that needs a mate made for it.";
        told.bad(item, "mates", mates.span, headline, advice);
    }
    for mate in &mates.value.0 {
        match &mate.value {
            Catalogued::Listed(kind) => {
                let headline = format!("{} is a kind of latch and no system", kind.name);
                let advice = "Name systems of your own, described here under `latch-systems`.";
                told.bad(item, "mates", mate.span, headline, advice);
            }
            Catalogued::Own(own) => {
                if !told.section.has(&own.name) {
                    told.unknown_mate(item, &own.name, mate.span);
                }
            }
        }
    }
}

/// What a site says of a latch system of its own; `None` where that is not enough to judge by.
pub(super) fn kind(item: &Named<LatchSystem>) -> Option<Kind> {
    let citation = cited(&item.source)?;
    let like = like(&item.like)?.filter(|like| may_be_a_system(like))?;
    let mates = written(&item.mates)?.map(|mates| &mates.0);
    let mates = mates.into_iter().flatten();
    let mates = mates.map(|mate| mate.value.name.clone()).collect();
    Some(Kind::own_like(
        item.name.value.clone(),
        like,
        mates,
        citation,
    ))
}
