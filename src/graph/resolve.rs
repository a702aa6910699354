//! References resolved to ids.

mod cords;
mod lines;
mod outlets;
mod switches;

use std::cell::Cell;

use rayon::prelude::*;

use crate::model::Model;
use crate::model::fault::Noted;
use crate::model::text::Reference;
use crate::model::value::{Field, Id, Name, Section, Spanned};
use crate::spelling::{Near, nearest};

use super::fault::LinkFault;
use super::links::{InletLink, Links, PduFeed, Receiver};
use super::lookup::{Lookup, Taken};
use super::part::{name_of, span_of};
use super::switches::Stand;

/// Resolves references, one section after the other. Names are looked up side by side; what is not
/// found is then explained in the order of the definitions.
pub(super) struct Resolver<'m> {
    model: &'m Model,
    stand: Stand,
    pub links: Links,
    pub faults: Vec<LinkFault>,
    pub written: Vec<Noted>,
    /// Outlets that cords are plugged into.
    taken: Taken,
    /// Nearest names that are still looked for.
    searches_left: Cell<u32>,
}

/// Every search looks at all names of a section: a site in which everything is renamed must not
/// take the square of its size.
const MOST_SEARCHES: u32 = 200;

impl<'m> Resolver<'m> {
    pub(super) fn new(model: &'m Model, most_in_a_row: usize, stand: Stand) -> Self {
        Self {
            model,
            stand,
            links: Links {
                most_in_a_row,
                ..Links::default()
            },
            faults: Vec::new(),
            written: Vec::new(),
            taken: Taken::default(),
            searches_left: Cell::new(MOST_SEARCHES),
        }
    }

    fn nearest<'w>(&self, text: &str, words: impl Iterator<Item = &'w str>) -> Option<Near<Name>> {
        let left = self.searches_left.get().checked_sub(1)?;
        self.searches_left.set(left);
        let near = nearest(text, words)?;
        Some(Near {
            word: near.word.into(),
            is_sure: near.is_sure,
        })
    }

    fn lookup(&self) -> Lookup<'_> {
        Lookup {
            model: self.model,
            links: &self.links,
        }
    }

    pub(super) fn resolve(&mut self) {
        let model = self.model;
        self.links.rack_zones = self.each(&model.racks, |rack| &rack.zone, &model.zones, "zone");
        self.supply_sources();
        self.links.circuit_supplies = self.each(
            &model.circuits,
            |circuit| &circuit.from,
            &model.supplies,
            "supply",
        );
        self.links.pdu_models = self.each(
            &model.pdus,
            |pdu| &pdu.model,
            &model.pdu_models,
            "PDU model",
        );
        self.links.pdu_racks = self.each(&model.pdus, |pdu| &pdu.rack, &model.racks, "rack");
        self.links.device_models = self.each(
            &model.devices,
            |device| &device.model,
            &model.device_models,
            "device model",
        );
        self.links.device_racks =
            self.each(&model.devices, |device| &device.rack, &model.racks, "rack");
        self.links.device_zones =
            self.each(&model.devices, |device| &device.zone, &model.zones, "zone");
        self.links.cord_types = self.each(
            &model.cords,
            |cord| &cord.cord_type,
            &model.cord_types,
            "cord type",
        );
        self.bought();
        self.number_outlets();
        self.number_inlets();
        self.reserves();
        self.cord_feeds();
        self.cord_ends();
        self.switches();
        self.pdu_feeds();
        self.feeds();
        for bundle in model
            .cords
            .items()
            .iter()
            .filter_map(|cord| cord.bundle.known())
        {
            *self.links.bundles.entry(bundle.clone()).or_default() += 1;
        }
    }

    /// What supplies are fed from; where it is not written, from nothing that is drawn.
    fn supply_sources(&mut self) {
        let supplies = &self.model.supplies;
        for supply in supplies.items() {
            let from = supply.from.written().ok().flatten();
            let id = from.and_then(|from| supplies.find(&from.value));
            self.links.supply_sources.push(id);
            if let (Some(name), None) = (from, id) {
                let near = self.nearest(&name.value, words(supplies));
                self.unknown(name, &name.value, "supply", near, &supply.name.value);
            }
        }
    }

    /// Makes, offers, orders and the store: nothing flows there.
    fn bought(&mut self) {
        let model = self.model;
        self.links.makes = self.each(
            &model.cord_types,
            |kind| &kind.make,
            &model.cord_makes,
            "cord make",
        );
        self.links.offered = self.each(
            &model.offers,
            |offer| &offer.make,
            &model.cord_makes,
            "cord make",
        );
        for order in model.orders.items() {
            self.types_named(order.lines.names(), &order.name.value);
        }
        self.types_named(model.store.names(), &"store".into());
    }

    /// Names of cord types that stand as keys.
    fn types_named<'n>(&mut self, names: impl Iterator<Item = &'n Spanned<Name>>, owner: &Name) {
        let types = &self.model.cord_types;
        for name in names.filter(|name| types.find(&name.value).is_none()) {
            let near = self.nearest(&name.value, words(types));
            self.unknown(name, &name.value, "cord type", near, owner);
        }
    }

    fn each<A: Sync, B: Sync>(
        &mut self,
        section: &'m Section<A>,
        field: impl Fn(&'m A) -> &'m Field<Name> + Sync,
        target: &Section<B>,
        what: &'static str,
    ) -> Vec<Option<Id<B>>> {
        let items = section.items().par_iter();
        let ids = items.map(|item| target.find(field(&item.item).known()?));
        let ids: Vec<Option<Id<B>>> = ids.collect();
        for (item, _) in section
            .items()
            .iter()
            .zip(&ids)
            .filter(|(_, id)| id.is_none())
        {
            if let Some(name) = field(&item.item).given() {
                let near = self.nearest(&name.value, words(target));
                self.unknown(name, &name.value, what, near, &item.name.value);
            }
        }
        ids
    }

    /// Notes that `part` of a reference leads nowhere.
    fn unknown(
        &mut self,
        reference: &Spanned<Name>,
        part: &str,
        what: &'static str,
        mut nearest: Option<Near<Name>>,
        owner: &Name,
    ) {
        let (span, is_exact) = span_of(reference, part);
        if let Some(near) = &mut nearest {
            near.is_sure &= is_exact;
        }
        self.faults.push(LinkFault::UnknownName {
            span,
            reference: reference.value.clone(),
            what,
            nearest,
            owner: owner.clone(),
        });
    }

    fn number_inlets(&mut self) {
        for (device, _) in self.model.devices.iter() {
            self.links.first_inlet.push(self.links.inlets.len() as u32);
            let Some(model) = self.links.device_models[device.index()] else {
                continue;
            };
            let count = self.model.device_models[model].inlets.len() as u32;
            let inlets = (0..count).map(|inlet| InletLink {
                device,
                inlet,
                fed_by: None,
            });
            self.links.inlets.extend(inlets);
        }
        self.links.first_inlet.push(self.links.inlets.len() as u32);
        self.inlet_overrides();
    }

    /// Names under `inlets` of a device must be inlets of its model.
    fn inlet_overrides(&mut self) {
        let model = self.model;
        for (device, item) in model.devices.iter() {
            let Some(device_model) = self.links.device_models[device.index()] else {
                continue;
            };
            let inlets = &model.device_models[device_model].inlets;
            for inlet in item
                .inlets
                .items()
                .iter()
                .filter(|inlet| inlets.named(&inlet.name.value).is_none())
            {
                let names = words(inlets);
                let near = self.nearest(&inlet.name.value, names);
                self.unknown(
                    &inlet.name,
                    &inlet.name.value,
                    "inlet of this device's model",
                    near,
                    &item.name.value,
                );
            }
        }
    }

    /// Outlets that are kept in reserve must be outlets of the strip's model.
    fn reserves(&mut self) {
        let model = self.model;
        for (pdu, item) in model
            .pdus
            .iter()
            .filter(|(_, item)| !item.reserve.is_empty())
        {
            let Some(kind) = self.links.pdu_models[pdu.index()] else {
                continue;
            };
            let banks = model.pdu_models[kind].banks.items().iter();
            let names: Vec<&str> = banks
                .flat_map(|bank| &bank.outlets.0)
                .map(|outlet| outlet.name.value.as_str())
                .collect();
            for kept in &item.reserve {
                if !names.contains(&kept.value.as_str()) {
                    let near = self.nearest(&kept.value, names.iter().copied());
                    let what = "outlet of this PDU's model";
                    self.unknown(kept, &kept.value, what, near, &item.name.value);
                }
            }
        }
    }

    fn pdu_feeds(&mut self) {
        let model = self.model;
        for (_, item) in model.pdus.iter() {
            let feed = item
                .from
                .given()
                .and_then(|from| self.pdu_feed(from, &item.name.value));
            self.links.pdu_feeds.push(feed);
        }
        let mut fed = Vec::new();
        for (cord, _) in model.cords.iter() {
            for end in self.links.cord_ends(cord) {
                if let Receiver::Pdu(pdu) = end.at
                    && model.pdus[pdu].from.is_absent()
                {
                    fed.push((pdu, PduFeed::Cord(cord, end.leg)));
                }
            }
        }
        for (pdu, feed) in fed {
            self.links.pdu_feeds[pdu.index()] = Some(feed);
        }
        for (pdu, item) in model.pdus.iter() {
            if item.from.is_absent() && self.links.pdu_feeds[pdu.index()].is_none() {
                self.faults.push(LinkFault::PduUnfed { pdu });
            }
        }
    }

    fn pdu_feed(&mut self, from: &Spanned<Reference>, owner: &Name) -> Option<PduFeed> {
        let model = self.model;
        if let Some(circuit) = model.circuits.find(&from.value.0) {
            return Some(PduFeed::Circuit(circuit));
        }
        if let Some(cord) = model.cords.find(&from.value.0) {
            return Some(PduFeed::Cord(cord, None));
        }
        if let Some(cord) = model.cords.find(from.value.owner()) {
            let part = from.value.part()?;
            let name = Spanned {
                value: part.into(),
                span: span_of(&name_of(from), part).0,
            };
            return Some(PduFeed::Cord(cord, Some(self.leg(cord, owner, &name)?)));
        }
        let found = self.lookup().outlet(&from.value);
        if found.is_none() {
            self.explain_outlet(from, owner);
        }
        found.map(PduFeed::Outlet)
    }

    /// Feeds named by supplies and inlets must be feeds of the site, where the site lists any.
    fn feeds(&mut self) {
        let model = self.model;
        if model.site.feeds.is_empty() {
            return;
        }
        let supplies = model
            .supplies
            .items()
            .iter()
            .map(|item| (&item.feed, &item.name.value));
        let models = model.device_models.items().iter();
        let inlets = models.flat_map(|item| {
            item.inlets
                .items()
                .iter()
                .map(|inlet| (&inlet.feed, &item.name.value))
        });
        let devices = model.devices.items().iter();
        let own = devices.flat_map(|item| {
            item.inlets
                .items()
                .iter()
                .map(|inlet| (&inlet.feed, &item.name.value))
        });
        for (feed, owner) in supplies.chain(inlets).chain(own) {
            let Some(feed) = feed
                .given()
                .filter(|feed| model.site.feeds.find(&feed.value).is_none())
            else {
                continue;
            };
            self.unknown(
                feed,
                &feed.value,
                "feed",
                self.nearest(&feed.value, words(&model.site.feeds)),
                owner,
            );
        }
    }
}

/// The names of things as words to look for the nearest one in.
fn words<T>(section: &Section<T>) -> impl Iterator<Item = &str> {
    section.names().map(|name| name.value.as_str())
}
