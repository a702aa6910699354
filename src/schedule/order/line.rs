//! A row of an order on its way: cords that are one thing, what is there of them, and what stands against them.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::graph::Receiver;
use crate::model::cords::{Cord, CordState, CordType};
use crate::model::places::Rack;
use crate::model::value::{Id, Name};
use crate::quantity::Length;

use super::super::table::{given, noted};
use super::Held;
use super::spares::Spares;
use super::there::{There, sum};

/// Cords that are one thing.
pub(in crate::schedule) struct Line {
    /// The kind that its first cord is of, so that rows are in the order of the types; cords of no known type last.
    pub first: (bool, usize),
    pub types: Vec<String>,
    pub kinds: Vec<Id<CordType>>,
    pub thing: Vec<String>,
    pub length: Option<Length>,
    pub needed: usize,
    by_rack: BTreeMap<Option<Id<Rack>>, usize>,
    pub fitted: usize,
    in_store: usize,
    on_order: usize,
    /// What store and orders say of its types.
    there: There,
    /// Labels of the cords that do not hang yet.
    pub labels: Vec<String>,
    pub stands: BTreeSet<&'static str>,
    pub notes: Vec<String>,
}

impl Line {
    pub fn of(thing: Vec<String>, length: Option<Length>) -> Self {
        Self {
            first: (true, usize::MAX),
            types: Vec::new(),
            kinds: Vec::new(),
            thing,
            length,
            needed: 0,
            by_rack: BTreeMap::new(),
            fitted: 0,
            in_store: 0,
            on_order: 0,
            there: There {
                in_store: Some(0),
                on_order: Some(0),
            },
            labels: Vec::new(),
            stands: BTreeSet::new(),
            notes: Vec::new(),
        }
    }

    /// Notes that cords of a type are of it, and what stands against the make of the type and its offers.
    pub(super) fn add_kind(
        &mut self,
        analysis: &Analysis<'_>,
        kind: Id<CordType>,
        (there, held): (&BTreeMap<Name, There>, &Held),
    ) {
        if self.kinds.contains(&kind) {
            return;
        }
        self.first = self.first.min((false, kind.index()));
        let item = &analysis.model.cord_types[kind];
        let make = analysis.graph.links.makes[kind.index()];
        let make = make.map(|make| &analysis.model.cord_makes[make].name.value);
        let offers = analysis.offers_of_type(kind);
        let names = make
            .into_iter()
            .chain(offers.map(|offer| &offer.name.value));
        if !held.is_empty() {
            let rules = names.filter_map(|name| held.get(name)).flatten();
            self.stands.extend(rules.copied());
        }
        self.kinds.push(kind);
        self.types.push(item.name.value.to_string());
        self.notes
            .extend(Some(noted(item)).filter(|note| !note.is_empty()));
        let stored = analysis.model.store.named(&item.name.value);
        let at = stored.and_then(|(_, stored)| stored.at.known());
        self.notes.extend(at.map(|at| format!("in store at {at}")));
        // Of a type whose cords are of several lengths nobody knows which of them lie there.
        if let Some(there) = there.get(&item.name.value)
            && self.is_of_its_types_length(analysis, kind)
        {
            self.there = There {
                in_store: sum(self.there.in_store, there.in_store),
                on_order: sum(self.there.on_order, there.on_order),
            };
        }
    }

    fn is_of_its_types_length(&self, analysis: &Analysis<'_>, kind: Id<CordType>) -> bool {
        let own = analysis.model.cord_types[kind].whole_length();
        own == self.length
    }

    pub fn add(&mut self, analysis: &Analysis<'_>, cord: Id<Cord>, held: &Held) {
        let item = &analysis.model.cords[cord];
        let name = given(&item.cord_type);
        if analysis.graph.links.cord_types[cord.index()].is_none() && !self.types.contains(&name) {
            self.first = self.first.min((true, cord.index()));
            self.types.push(name.clone());
        }
        self.needed += 1;
        *self.by_rack.entry(rack_of(analysis, cord)).or_default() += 1;
        match item.state.known() {
            Some(CordState::ToFit) => {}
            Some(CordState::OnOrder) => self.on_order += 1,
            Some(CordState::InStore) => self.in_store += 1,
            Some(CordState::Fitted | CordState::ToPull) | None => self.fitted += 1,
        }
        if item.state.known() == Some(&CordState::ToFit) {
            self.labels.push(item.name.value.to_string());
        }
        let names = [name.as_str(), item.name.value.as_str()];
        let rules = names.iter().filter_map(|name| held.get(*name)).flatten();
        self.stands.extend(rules.copied());
    }

    /// How many lie in store: what the store says and what the states of cords say are the same cords.
    pub fn in_store(&self) -> Option<usize> {
        self.there.in_store.map(|there| there.max(self.in_store))
    }

    /// How many are on order, likewise.
    pub fn on_order(&self) -> Option<usize> {
        self.there.on_order.map(|there| there.max(self.on_order))
    }

    /// How many spares are kept.
    pub fn spares(&self, spares: Spares) -> usize {
        match spares.are_per_rack() {
            true => self
                .by_rack
                .values()
                .map(|cords| spares.count(*cords))
                .sum(),
            false => spares.count(self.needed),
        }
    }

    /// How many are still to be bought; `None` where somebody must count first.
    pub fn wanted(&self, spares: Option<Spares>) -> Option<usize> {
        let there = self.fitted + self.in_store()? + self.on_order()?;
        Some((self.needed + self.spares(spares?)).saturating_sub(there))
    }
}

/// The rack of the device that a cord feeds first.
fn rack_of(analysis: &Analysis<'_>, cord: Id<Cord>) -> Option<Id<Rack>> {
    let links = &analysis.graph.links;
    match links.line_ends(cord).next()? {
        Receiver::Inlet(number) => links.device_racks[links.inlets[number as usize].device.index()],
        Receiver::Pdu(pdu) => links.pdu_racks[pdu.index()],
        Receiver::Cord(_) | Receiver::Unknown => None,
    }
}
