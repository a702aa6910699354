//! What is there already, or on its way, of each cord type: by the states of cords, by the store and by orders.

use std::collections::BTreeMap;

use crate::model::Model;
use crate::model::value::Name;

/// Cords of a type that lie in store or are still to come; `None` where a count cannot be read.
#[derive(Clone, Copy, Debug)]
pub(super) struct There {
    pub in_store: Option<usize>,
    pub on_order: Option<usize>,
}

/// What the store and the orders say of each type; nothing of a type that neither names.
pub(super) fn there(model: &Model) -> BTreeMap<Name, There> {
    // An order of which nobody can read what it is for may be for any type.
    let mut orders = model.orders.items().iter();
    let are_orders_read = model.orders.unreadable().is_none()
        && orders.all(|order| order.lines.unreadable().is_none());
    let nothing = There {
        in_store: model.store.unreadable().is_none().then_some(0),
        on_order: are_orders_read.then_some(0),
    };
    let mut all: BTreeMap<Name, There> = BTreeMap::new();
    if nothing.in_store.is_none() || nothing.on_order.is_none() {
        let names = model.cord_types.names().map(|name| name.value.clone());
        all.extend(names.map(|name| (name, nothing)));
    }
    for stored in model.store.items() {
        let of = all.entry(stored.name.value.clone()).or_insert(nothing);
        let count = stored.count.known().map(|count| *count as usize);
        of.in_store = sum(of.in_store, count);
    }
    for order in model.orders.items() {
        for line in order.lines.items() {
            let of = all.entry(line.name.value.clone()).or_insert(nothing);
            let count = line.outstanding().map(|count| count as usize);
            of.on_order = sum(of.on_order, count);
        }
    }
    all
}

/// The sum; not known where a part is not.
pub(super) fn sum(one: Option<usize>, other: Option<usize>) -> Option<usize> {
    Some(one? + other?)
}
