//! Adapters, which have no cord between plug and connector, and cords, which have one.

use crate::model::Model;
use crate::model::cords::{Cord, CordType};
use crate::model::decode::{Key, Record};
use crate::model::fault::{Fault, Noted};
use crate::model::optional::{Optional, Stated};
use crate::model::value::{Field, Name, Named, Section};
use crate::source::Span;

use super::bad;

/// Types that are said to be adapters and have a cord, or to be none and have no length; and cords of a length that
/// are adapters.
pub(super) fn check(model: &mut Model) -> Vec<Noted> {
    let mut told = Vec::new();
    for kind in model.cord_types.items_mut() {
        match kind.item.adapter.says_yes() {
            Ok(true) => told.extend(has_a_cord(kind)),
            Ok(false) if !kind.item.adapter.is_absent() => told.extend(lacks_a_cord(kind)),
            Ok(_) | Err(_) => {}
        }
    }
    let types = &model.cord_types;
    let cords = model.cords.items_mut();
    told.extend(cords.filter_map(|cord| longer_than_none(cord, types)));
    told
}

/// What is written of a cord that an adapter has not. Both cannot be: whether it is one is then not known.
fn has_a_cord(kind: &mut Named<CordType>) -> Option<Noted> {
    let item = &kind.item;
    let written: [(&str, Option<Span>); 4] = [
        ("length", item.length.place()),
        ("conductor", item.conductor.place()),
        ("cordage", item.cordage.place()),
        ("cores", item.cores.place()),
    ];
    let (key, span) = written
        .into_iter()
        .find_map(|(key, span)| Some((key, span?)))?;
    let said = item.adapter.span()?;
    let headline = format!(
        "`{key}` stands here, and `adapter` says that this type has no cord between its ends"
    );
    let advice = "Look at it: take `adapter` out if there is a cord between plug and connector, or else what is said of that cord.";
    let fault = bad(span, headline, advice, path(kind, key));
    kind.item.adapter = Optional::Unreadable(said);
    Some(fault)
}

/// `adapter: no` stands in the stead of no key.
fn lacks_a_cord(kind: &Named<CordType>) -> impl Iterator<Item = Noted> {
    let is_of_make = !kind.item.make.is_absent();
    let lacking = [
        ("length", kind.item.length.is_absent()),
        ("conductor", kind.item.conductor.is_absent() && !is_of_make),
    ];
    let lacking = lacking.into_iter().filter(|(_, is_lacking)| *is_lacking);
    let keys = lacking.filter_map(|(name, _)| CordType::KEYS.iter().find(|key| key.name == name));
    keys.map(|key| missing(kind, key))
}

fn missing(kind: &Named<CordType>, key: &'static Key) -> Noted {
    let fault = Fault::MissingKey {
        span: kind.name.span,
        owner: CordType::WHAT,
        name: kind.name.value.clone(),
        key: key.name,
        holds: key.doc,
    };
    Noted::new(fault, ["cord-types".into(), kind.name.value.clone()])
}

fn longer_than_none(cord: &mut Named<Cord>, types: &Section<CordType>) -> Option<Noted> {
    let at = cord.length.given()?.span;
    let kind = &types[types.find(cord.cord_type.known()?)?];
    if !kind.is_adapter() {
        return None;
    }
    let headline = format!(
        "a length stands here, and its type {} is an adapter, which has none",
        kind.name.value
    );
    let advice = "Take the length out, or name the type of the cord that hangs there.";
    let path = ["cords".into(), cord.name.value.clone(), "length".into()];
    cord.item.length = Field::Unreadable(at);
    Some(bad(at, headline, advice, path))
}

fn path(kind: &Named<CordType>, key: &str) -> [Name; 3] {
    ["cord-types".into(), kind.name.value.clone(), key.into()]
}
