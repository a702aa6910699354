//! What cords are plugged into, and what they feed.

use rayon::prelude::*;

use crate::graph::fault::LinkFault;
use crate::graph::links::{CordEnd, CordFeed, Receiver};
use crate::graph::lookup::Taken;
use crate::graph::part::name_of;
use crate::model::cords::{Cord, Ends};
use crate::model::text::Reference;
use crate::model::value::{Id, Name, Spanned};

use super::{Resolver, words};

impl Resolver<'_> {
    pub(super) fn cord_feeds(&mut self) {
        let model = self.model;
        let lookup = self.lookup();
        let feeds = model.cords.items().par_iter();
        let feeds = feeds.map(|cord| lookup.cord_feed(&cord.from.given()?.value));
        let feeds: Vec<Option<CordFeed>> = feeds.collect();
        let mut taken = Taken::default();
        for ((cord, item), feed) in model.cords.iter().zip(&feeds) {
            let (Some(from), Some(CordFeed::Outlet(outlet))) = (item.from.given(), *feed) else {
                continue;
            };
            let Some(first) = taken.by(outlet, cord) else {
                continue;
            };
            let span = model.cords[first].from.span().unwrap_or(from.span);
            self.faults.push(LinkFault::DoubleBooked {
                what: "outlet",
                name: from.value.0.clone(),
                first: (first, span),
                again: (cord, from.span),
            });
        }
        self.taken = taken;
        let cords = model.cords.items().iter().zip(&feeds);
        for (item, _) in cords.filter(|(_, feed)| feed.is_none()) {
            if let Some(from) = item.from.given() {
                self.explain_feed(from, &item.name.value);
            }
        }
        self.links.cord_feeds = feeds;
    }

    pub(super) fn cord_ends(&mut self) {
        let model = self.model;
        let hung = self.hung();
        let lookup = self.lookup();
        let receivers = model.cords.items().par_iter();
        let receivers = receivers.map(|cord| match &cord.to {
            Ends::One(end) => lookup.receiver(&end.value),
            Ends::Absent | Ends::Unreadable(_) | Ends::Legs(_) => None,
        });
        let receivers: Vec<Option<Receiver>> = receivers.collect();
        for ((cord, item), receiver) in model.cords.iter().zip(receivers) {
            self.links.first_end.push(self.links.ends.len() as u32);
            match &item.to {
                Ends::Absent | Ends::Unreadable(_) => {}
                Ends::One(end) => self.end(cord, None, receiver, end),
                Ends::Legs(legs) => {
                    for leg in legs {
                        let place = self.leg(cord, &item.name.value, &leg.name);
                        let end = Spanned {
                            value: leg.item.clone(),
                            span: leg.body,
                        };
                        if let Some(place) = place {
                            self.end(cord, Some(place), self.lookup().receiver(&end.value), &end);
                        }
                    }
                }
            }
            self.ends_of_line(cord, &hung);
        }
        self.links.first_end.push(self.links.ends.len() as u32);
        self.cords_that_are_named(&hung);
    }

    pub(in crate::graph) fn leg(
        &mut self,
        cord: Id<Cord>,
        owner: &Name,
        name: &Spanned<Name>,
    ) -> Option<u32> {
        let legs = &self.model.cord_types[self.links.cord_types[cord.index()]?].legs;
        let found = legs.named(&name.value).map(|(place, _)| place as u32);
        if found.is_none() {
            let names = words(legs);
            self.unknown(
                name,
                &name.value,
                "leg of this cord's type",
                self.nearest(&name.value, names),
                owner,
            );
        }
        found
    }

    fn end(
        &mut self,
        cord: Id<Cord>,
        leg: Option<u32>,
        receiver: Option<Receiver>,
        end: &Spanned<Reference>,
    ) {
        match receiver {
            Some(Receiver::Inlet(number)) => self.book_inlet(cord, leg, number, end),
            Some(_) => {}
            None => self.explain_receiver(&self.model.cords[cord].name.value, end),
        }
        let at = receiver.unwrap_or(Receiver::Unknown);
        let span = end.span;
        self.push_end(cord, CordEnd { leg, span, at });
    }

    pub(super) fn push_end(&mut self, cord: Id<Cord>, end: CordEnd) {
        if let Some(leg) = end.leg {
            let next = self.links.ends.len() as u32;
            self.links.leg_ends.entry((cord, leg)).or_insert(next);
        }
        self.links.ends.push(end);
    }

    fn book_inlet(
        &mut self,
        cord: Id<Cord>,
        leg: Option<u32>,
        number: u32,
        end: &Spanned<Reference>,
    ) {
        let inlet = &mut self.links.inlets[number as usize];
        let Some((first, first_leg)) = inlet.fed_by else {
            inlet.fed_by = Some((cord, leg));
            return;
        };
        let links = &self.links;
        let place = match first_leg {
            Some(leg) => links.leg_ends.get(&(first, leg)),
            None => links.first_end.get(first.index()),
        };
        let other = place.and_then(|&place| links.ends.get(place as usize));
        let first = (first, other.map_or(end.span, |other| other.span));
        let (name, again) = (end.value.0.clone(), (cord, end.span));
        self.faults.push(LinkFault::DoubleBooked {
            what: "inlet",
            name,
            first,
            again,
        });
    }

    /// Says what of a cord's end is unknown.
    fn explain_receiver(&mut self, owner: &Name, end: &Spanned<Reference>) {
        let model = self.model;
        let Some((device, _)) = self.lookup().device(&end.value) else {
            let near = self.nearest(end.value.owner(), words(&model.devices));
            return self.unknown(&name_of(end), end.value.owner(), "device", near, owner);
        };
        // An unknown model is a fault of the device.
        let Some(device_model) = self.links.device_models[device.index()] else {
            return;
        };
        let inlets = &model.device_models[device_model].inlets;
        let near = self.nearest(end.value.part().unwrap_or(""), words(inlets));
        let part = end.value.part().unwrap_or(&end.value.0);
        self.unknown(&name_of(end), part, "inlet", near, owner);
    }
}
