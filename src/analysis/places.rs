//! Where to point. A rule names a place by meaning; here it becomes bytes.

use crate::finding::Place;
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::circuits::Breaker;
use crate::model::cords::Cord;
use crate::model::devices::{Device, Inlet};
use crate::model::optional::Stated;
use crate::model::pdus::Pdu;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::quantity::Current;
use crate::source::Span;
use crate::tables::countries::{self, Country};

use super::Analysis;

impl<'a> Analysis<'a> {
    /// Whether a strip has no input cord at all.
    pub fn is_without_input_cord(&self, pdu: Id<Pdu>) -> bool {
        self.graph.is_without_input_cord(self.model, pdu)
    }

    /// The overcurrent device of an element (circuit or bank breaker), as it is written.
    pub fn breaker(&self, id: ElementId) -> Option<&'a Field<Breaker>> {
        match self.graph.kind(id) {
            ElementKind::Circuit(circuit) => Some(&self.model.circuits[circuit].item.breaker),
            ElementKind::Bank(pdu, bank) => {
                let banks = &self.graph.pdu_model(self.model, pdu)?.banks;
                Some(&banks.items().get(bank as usize)?.item.breaker)
            }
            _ => None,
        }
    }

    /// The rated current of the overcurrent device of an element (circuit or bank breaker).
    pub fn breaker_rating(&self, id: ElementId) -> Option<&'a Spanned<Current>> {
        self.breaker(id)?.given()?.value.rating.given()
    }

    /// The fuse in the plug of a cord or a strip, as it is written.
    pub fn plug_fuse(&self, id: ElementId) -> Option<&'a Spanned<Current>> {
        match self.graph.kind(id) {
            ElementKind::Cord(cord) => self.graph.cord_type(self.model, cord)?.plug_fuse(),
            ElementKind::Pdu(pdu) => self.graph.pdu_model(self.model, pdu)?.plug_fuse(),
            _ => None,
        }
    }

    /// The cord or strip whose plug has a fuse that stands ahead of an element, nearer than any breaker.
    pub fn fused_plug_ahead(&self, id: ElementId) -> Option<ElementId> {
        let is_fused = |at: &ElementId| match self.graph.kind(*at) {
            ElementKind::Cord(cord) => {
                let kind = self.graph.cord_type(self.model, cord);
                kind.is_some_and(|kind| kind.plug.is_fused())
            }
            ElementKind::Pdu(pdu) => {
                let model = self.graph.pdu_model(self.model, pdu);
                model.is_some_and(|model| model.plug.is_fused())
            }
            _ => false,
        };
        let upwards = self.graph.upwards(id);
        let mut near =
            upwards.take_while(|&at| at == id || self.breaker(at).is_none_or(Field::is_absent));
        near.find(is_fused)
    }

    /// An inlet by its number in the graph.
    pub fn inlet(&self, number: u32) -> Option<(Id<Device>, &'a Named<Inlet>)> {
        let link = self.graph.links.inlets.get(number as usize)?;
        let inlet = self
            .graph
            .device_model(self.model, link.device)?
            .inlets
            .items()
            .get(link.inlet as usize)?;
        Some((link.device, inlet))
    }

    /// Where an element is most telling: its breaker's rating, or its name.
    pub fn place_of(&self, id: ElementId) -> Span {
        self.breaker_rating(id)
            .map_or(self.name(id).span, |rating| rating.span)
    }

    /// The hops from the supply to the element (itself left out), each with its name.
    pub fn hops_above(&self, id: ElementId) -> Vec<Place> {
        let mut path = self.graph.path(id);
        path.pop();
        path.into_iter().map(|hop| self.hop(hop)).collect()
    }

    /// An element as a place, called by its name.
    pub fn hop(&self, id: ElementId) -> Place {
        self.hop_with(id, self.describe(id))
    }

    /// An element as a place, with what is to be seen of it.
    pub fn hop_with(&self, id: ElementId, note: impl Into<String>) -> Place {
        Place {
            is_hop: true,
            ..place(self.name(id).span, note)
        }
    }

    /// Where it is chosen what a cord is: its type.
    pub fn cord_choice(&self, cord: Id<Cord>) -> Span {
        let cord = &self.model.cords[cord];
        field_or_name(&cord.cord_type, &cord.name)
    }

    /// Where it is chosen what a PDU is: its model.
    pub fn pdu_choice(&self, pdu: Id<Pdu>) -> Span {
        let pdu = &self.model.pdus[pdu];
        field_or_name(&pdu.model, &pdu.name)
    }

    /// Where the site as a whole speaks of itself: its name, its country or its practice.
    pub fn site_place(&self) -> Option<Span> {
        let site = &self.model.site;
        let fields = [site.name.span(), site.country.span(), site.practice.span()];
        fields.into_iter().flatten().next()
    }

    /// The country of the site; `None` where the site does not say or the tables do not know it.
    pub fn site_country(&self) -> Option<&'static Country> {
        countries::country(&self.model.site.country.known()?.0)
    }

    /// What a cord's ends go to, as places: the devices, and the cords on the way to them.
    pub fn ends_of(&self, cord: Id<Cord>) -> Vec<Place> {
        let ends = self.graph.links.line_below(cord);
        ends.filter_map(|end| match end {
            Receiver::Inlet(inlet) => {
                let device = self.graph.links.inlets[inlet as usize].device;
                let name = &self.model.devices[device].name;
                Some(place(name.span, format!("device {}", name.value)))
            }
            Receiver::Pdu(pdu) => {
                let name = &self.model.pdus[pdu].name;
                Some(place(name.span, format!("PDU {}", name.value)))
            }
            Receiver::Cord(lower) => {
                let name = &self.model.cords[lower].name;
                Some(place(name.span, format!("cord {}", name.value)))
            }
            Receiver::Unknown => None,
        })
        .collect()
    }
}

/// A place for a field: the field itself where it is written, else the name of what should have it.
pub fn field_or_name(field: &(impl Stated + ?Sized), name: &Spanned<Name>) -> Span {
    field.place().unwrap_or(name.span)
}

/// What is wrong with a field that gives nothing: it `is missing`, or `cannot be read`.
pub fn absence(field: &(impl Stated + ?Sized)) -> &'static str {
    if field.is_unreadable() {
        "cannot be read"
    } else {
        "is missing"
    }
}

/// A place from its parts.
pub fn place(span: Span, note: impl Into<String>) -> Place {
    Place {
        span,
        note: note.into(),
        is_hop: false,
    }
}
