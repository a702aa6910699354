//! Which key of which thing would tell what is not known of an element: its record, or the type or
//! model that describes it.

use crate::finding::Fact;
use crate::flow::protection::breaker_field;
use crate::graph::{ElementId, ElementKind, InletLink};
use crate::model::circuits::InstantaneousTrip;
use crate::model::cords::{Cord, CordType};
use crate::model::devices::{Device, DeviceModel};
use crate::model::flex::Flex;
use crate::model::optional::Stated;
use crate::model::pdus::{Bank, Pdu, PduModel};
use crate::model::value::{Field, Id, Named};

use crate::quantity::{Current, InUnits};
use crate::source::Span;

use super::Analysis;

impl<'a> Analysis<'a> {
    /// The fact that a key of an element's conductors should give: of the wiring of a circuit, the input
    /// cord of a PDU model, a cord type or its leg. Where the type or model is not known, that is the fact.
    pub fn conductor_fact<V: Stated>(&self, id: ElementId, key: &str, field: Option<&V>) -> Fact {
        let model = self.model;
        match self.graph.kind(id) {
            ElementKind::Supply(supply) => Fact::of(&model.supplies[supply], key, field),
            ElementKind::Circuit(circuit) => {
                Fact::of(&model.circuits[circuit], format!("wiring.{key}"), field)
            }
            ElementKind::Pdu(pdu) | ElementKind::Bank(pdu, _) => {
                self.pdu_model_fact(pdu, |kind| Fact::of(kind, format!("cord.{key}"), field))
            }
            ElementKind::Cord(cord) => self.cord_type_fact(cord, |kind| Fact::of(kind, key, field)),
            ElementKind::Leg(cord, leg) => self.cord_type_fact(cord, |kind| {
                let leg = kind.leg(leg);
                let leg = leg.map_or("", |leg| leg.name.value.as_str());
                Fact::of(kind, format!("legs.{key}"), field).within(leg)
            }),
        }
    }

    /// The fact that a key of an element's own breaker should give.
    pub fn breaker_fact<V: Stated>(&self, id: ElementId, key: &str, field: Option<&V>) -> Fact {
        let model = self.model;
        match self.graph.kind(id) {
            ElementKind::Circuit(circuit) => {
                Fact::of(&model.circuits[circuit], format!("breaker.{key}"), field)
            }
            ElementKind::Bank(pdu, bank) => self.pdu_model_fact(pdu, |kind| {
                let bank = kind.banks.items().get(bank as usize);
                let bank = bank.map_or("", |bank| bank.name.value.as_str());
                Fact::of(kind, format!("banks.breaker.{key}"), field).within(bank)
            }),
            _ => self.conductor_fact(id, key, field),
        }
    }

    /// The rating of an element's own breaker, where it cannot be read.
    pub fn unread_rating(&self, id: ElementId) -> Option<Fact> {
        let at = match breaker_field(self.model, self.graph, id)? {
            Field::Absent => return None,
            Field::Unreadable(at) => *at,
            Field::Given(breaker) => match breaker.value.rating {
                Field::Unreadable(at) => at,
                Field::Absent | Field::Given(_) => return None,
            },
        };
        let rating = Field::<Current>::Unreadable(at);
        Some(self.breaker_fact(id, "rating", Some(&rating)))
    }

    /// The instantaneous trip of an element's own breaker, where it cannot be read.
    pub fn unread_trip(&self, id: ElementId) -> Option<Fact> {
        let breaker = breaker_field(self.model, self.graph, id)?.known()?;
        let at = match &breaker.instantaneous {
            Field::Absent => return None,
            Field::Unreadable(at) => *at,
            Field::Given(own) => match (&own.value.opens, &own.value.holds) {
                (Field::Unreadable(at), _) => *at,
                (Field::Absent, _) => own.span,
                (Field::Given(_), Field::Unreadable(at)) => *at,
                (Field::Given(_), Field::Absent | Field::Given(_)) => return None,
            },
        };
        let trip = Field::<InstantaneousTrip>::Unreadable(at);
        Some(self.breaker_fact(id, "instantaneous", Some(&trip)))
    }

    /// The breaker of a bank behind a device of so many amperes, where nobody has written whether it has one.
    /// Strips of up to 20 A mostly have none (common practice); of a larger one a record without any says
    /// nothing, unless the strip is said to have no others.
    pub fn bank_breaker_fact(
        &self,
        pdu: Id<Pdu>,
        bank: &Named<Bank>,
        ahead: Current,
    ) -> Option<Fact> {
        const MOSTLY_WITHOUT: f64 = 20.0;
        if ahead.in_amperes() <= MOSTLY_WITHOUT {
            return None;
        }
        let model = self.graph.links.pdu_models[pdu.index()]?;
        let model = &self.model.pdu_models[model];
        match (&bank.breaker, &model.breakers) {
            (Field::Absent, Field::Absent) => {
                let fact = Fact::of(model, "banks.breaker", Some(&bank.breaker));
                Some(fact.within(bank.name.value.clone()))
            }
            (Field::Absent, Field::Unreadable(_)) => {
                Some(Fact::of(model, "breakers", Some(&model.breakers)))
            }
            _ => None,
        }
    }

    /// The same of the bank that an element hangs on.
    pub fn bank_breaker_above(&self, id: ElementId, ahead: Current) -> Option<Fact> {
        let mut above = self.graph.upwards(id);
        above.find_map(|hop| match self.graph.kind(hop) {
            ElementKind::Bank(pdu, bank) => {
                let model = self.graph.pdu_model(self.model, pdu)?;
                self.bank_breaker_fact(pdu, model.banks.items().get(bank as usize)?, ahead)
            }
            _ => None,
        })
    }

    /// What should stand about an inlet and cannot be read: with the device, or with its model.
    pub fn inlet_fact(&self, inlet: &InletLink, key: &str, at: Span) -> Fact {
        let device = &self.model.devices[inlet.device];
        let of_model = self.graph.device_model(self.model, inlet.device);
        let own = of_model.and_then(|model| model.inlets.items().get(inlet.inlet as usize));
        let name = own.map_or("", |own| own.name.value.as_str());
        Fact::unreadable(device, format!("inlets.{key}"), at).within(name)
    }

    /// What a PDU model should give; the model itself where that is not known.
    pub fn pdu_model_fact(
        &self,
        pdu: Id<Pdu>,
        fact: impl FnOnce(&'a Named<PduModel>) -> Fact,
    ) -> Fact {
        let strip = &self.model.pdus[pdu];
        match self.graph.links.pdu_models[pdu.index()] {
            Some(kind) => fact(&self.model.pdu_models[kind]),
            None => Fact::of(strip, "model", Some(&strip.model)),
        }
    }

    /// What a device model should give; the model itself where that is not known.
    pub fn device_model_fact(
        &self,
        device: Id<Device>,
        fact: impl FnOnce(&'a Named<DeviceModel>) -> Fact,
    ) -> Fact {
        let item = &self.model.devices[device];
        match self.graph.links.device_models[device.index()] {
            Some(kind) => fact(&self.model.device_models[kind]),
            None => Fact::of(item, "model", Some(&item.model)),
        }
    }

    /// What a cord type should give; the type itself where that is not known.
    pub fn cord_type_fact(
        &self,
        cord: Id<Cord>,
        fact: impl FnOnce(&'a Named<CordType>) -> Fact,
    ) -> Fact {
        let item = &self.model.cords[cord];
        match self.graph.links.cord_types[cord.index()] {
            Some(kind) => fact(&self.model.cord_types[kind]),
            None => Fact::of(item, "type", Some(&item.cord_type)),
        }
    }

    /// The size of an element's conductors.
    pub fn size_fact(&self, id: ElementId) -> Fact {
        let conductors = self.conductors_of(id);
        self.conductor_fact(id, "conductor", conductors.map(|own| own.field))
    }

    /// The flexible cord that an element is: a cord or leg, or the input cord of a strip; `None` where it is none, or
    /// its type or model is not known.
    pub fn flex(&self, id: ElementId) -> Option<Flex<'a>> {
        self.graph.flex(self.model, self.graph.kind(id))
    }

    /// The length of an element's conductors, if it is not given.
    pub fn length_fact(&self, id: ElementId) -> Option<Fact> {
        let model = self.model;
        if self.graph.is_adapter(model, self.graph.kind(id)) {
            return None;
        }
        let kind = self.graph.kind(id);
        let field = match kind {
            ElementKind::Supply(_) | ElementKind::Bank(..) => return None,
            ElementKind::Circuit(circuit) => {
                let wiring = model.circuits[circuit].wiring.given();
                wiring.map(|wiring| &wiring.value.length)
            }
            _ => self.graph.flex(model, kind).map(|flex| flex.length),
        };
        if let (ElementKind::Cord(cord), Some(Field::Unreadable(_))) = (kind, field)
            && let item = &model.cords[cord]
            && !item.length.is_absent()
        {
            return Some(Fact::of(item, "length", Some(&item.length)));
        }
        let is_given = field.is_some_and(|field| field.given().is_some());
        (!is_given).then(|| self.conductor_fact(id, "length", field))
    }

    /// What the air around an element is at.
    pub fn air_fact(&self, id: ElementId) -> Fact {
        if let Some(astray) = self.astray(id) {
            return astray;
        }
        let zones = match self.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => self.environment(cord).zones,
            ElementKind::Pdu(pdu) => self.zone_of_pdu(pdu).into_iter().collect(),
            _ => Vec::new(),
        };
        match zones
            .into_iter()
            .find(|zone| zone.ambient.given().is_none())
        {
            Some(zone) => Fact::of(zone, "ambient", Some(&zone.ambient)),
            None => self.site_fact("ambient", &self.model.site.ambient, id),
        }
    }

    /// What the site as a whole should give; told at an element where nothing of the site is written.
    pub fn site_fact(&self, key: &str, field: &impl Stated, otherwise: ElementId) -> Fact {
        let at = self.site_place().unwrap_or(self.name(otherwise).span);
        Fact::of_site(key, field, at)
    }
}
