//! How many parts things have by their kinds: a device the inlets of its model, a strip its banks, a
//! splitter its legs. A few lines can make millions of them: a model of a thousand inlets, and a
//! thousand devices of it.

use crate::budget::{Budget, Work};
use crate::source::Span;

use super::Model;
use super::decode::Record;
use super::fault::{Fault, Noted};
use super::value::{Field, Name, Section};

/// Parts that every site may have, however few things it defines.
const SOME: usize = 20_000;

/// Takes off the things at the end whose parts, with those of all before them, are more than the budget
/// allows for what is written down.
pub(super) fn keep_within(model: &mut Model, budget: &Budget) -> Option<Noted> {
    let written = written(model);
    let each = budget.count(Work::Parts);
    let mut left = written.saturating_mul(each).saturating_add(SOME);
    let inlets = &model.device_models;
    let devices = Kept::of(
        &model.devices,
        |it| &it.model,
        inlets,
        |it| it.inlets.len(),
        &mut left,
    );
    let banks = &model.pdu_models;
    let pdus = Kept::of(
        &model.pdus,
        |it| &it.model,
        banks,
        |it| it.banks.len(),
        &mut left,
    );
    let legs = &model.cord_types;
    let cords = Kept::of(
        &model.cords,
        |it| &it.cord_type,
        legs,
        |it| it.legs.len(),
        &mut left,
    );
    let told = devices.first.or(pdus.first).or(cords.first);
    model.devices.truncate(devices.count);
    model.pdus.truncate(pdus.count);
    model.cords.truncate(cords.count);
    told.map(|(name, span, what)| too_many(&name, span, what, budget))
}

/// The things and parts that somebody has written down.
fn written(model: &Model) -> usize {
    fn parts<T>(section: &Section<T>, parts: impl Fn(&T) -> usize) -> usize {
        section.items().iter().map(|named| parts(&named.item)).sum()
    }
    let things = [
        model.circuits.len(),
        model.pdus.len(),
        model.devices.len(),
        model.cords.len(),
        parts(&model.device_models, |it| it.inlets.len() + 1),
        parts(&model.pdu_models, |it| it.banks.len() + 1),
        parts(&model.cord_types, |it| it.legs.len() + 1),
    ];
    things.iter().sum()
}

/// How many things of a section are kept, and the first that is not.
struct Kept {
    count: usize,
    first: Option<(Name, Span, &'static str)>,
}

impl Kept {
    fn of<T: Record, K>(
        things: &Section<T>,
        kind_of: impl Fn(&T) -> &Field<Name>,
        kinds: &Section<K>,
        parts: impl Fn(&K) -> usize,
        left: &mut usize,
    ) -> Self {
        let most = kinds.items().iter().map(|kind| parts(&kind.item)).max();
        let at_most = most.unwrap_or(0).saturating_mul(things.len());
        if at_most <= *left {
            *left -= at_most;
            return Self {
                count: things.len(),
                first: None,
            };
        }
        let parts_of = |thing: &T| {
            let kind = kind_of(thing).known().and_then(|name| kinds.find(name));
            kind.map_or(0, |kind| parts(&kinds[kind].item))
        };
        let is_within = |thing: &T| {
            let rest = left.checked_sub(parts_of(thing));
            *left = rest.unwrap_or(0);
            rest.is_some()
        };
        let mut is_within = is_within;
        let items = things.items();
        let count = items
            .iter()
            .take_while(|named| is_within(&named.item))
            .count();
        let first = items.get(count);
        Self {
            count,
            first: first.map(|named| (named.name.value.clone(), named.name.span, T::WHAT)),
        }
    }
}

fn too_many(name: &Name, span: Span, what: &'static str, budget: &Budget) -> Noted {
    let advice = Work::Parts.advice(budget);
    let fault = Fault::Unreadable {
        span,
        message: format!(
            "The things before {what} {name} have so many inlets, banks and legs by their kinds that this {what} and those after it are not judged."
        ),
        advice: format!("Give the kinds no more parts than there are. {advice}"),
        related: None,
    };
    Noted::new(fault, [what.into(), name.clone()])
}
