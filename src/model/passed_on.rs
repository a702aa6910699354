//! `device-models.<name>.outlets:` — outlets of equipment that passes the power of an inlet on: monitors, chassis,
//! consoles, power shelves.

use serde_json::Value;

use crate::quantity::Current;
use crate::source::Span;
use crate::yaml::NodeId;

use super::decode::{Reader, Slot, record};
use super::ingress::Ingress;
use super::optional::Optional;
use super::pdus::{Outlet, Outlets, each_outlet};
use super::schema;
use super::text::{CouplerRef, RetentionRef};
use super::value::{Field, Name, Named};

record! {
    /// One outlet on the back of a device, or several alike.
    DeviceOutlet: "outlet", short for "coupler";
    /// Its coupler.
    "coupler" (required) => coupler: Field<CouplerRef>,
    /// The inlet whose power it passes on; it goes without saying where the model has one inlet alone.
    "inlet" => inlet: Optional<Name>,
    /// What may be drawn from it, as marked beside it.
    "rating" (above_zero) => rating: Field<Current>,
    /// Rated current of the breaker or fuse that the equipment has ahead of it. Left out: none is on record.
    "breaker" (above_zero) => breaker: Optional<Current>,
    /// What it offers to hold a plug, by how it holds.
    "latch" => latch: Field<RetentionRef>,
    /// Degree of protection with a plug in it, as marked: `IPX4`.
    "ip" => ip: Field<Ingress>,
}

/// The outlets of a model of equipment, ranges expanded, in the order written.
#[derive(Clone, Debug, Default)]
pub struct PassedOn {
    /// The outlets, like those of strips.
    pub outlets: Outlets,
    /// The inlet that each of them is connected to, as it is written.
    inlets: Vec<Optional<Name>>,
    /// What the equipment has ahead of each.
    breakers: Vec<Optional<Current>>,
    /// The key that each stands under: its name, or a range.
    keys: Vec<Name>,
}

impl PassedOn {
    /// The outlets, each with the inlet that it is said to be connected to.
    pub fn iter(&self) -> impl Iterator<Item = (&Named<Outlet>, &Optional<Name>)> {
        self.outlets.0.iter().zip(&self.inlets)
    }

    /// The same, of a range only the first.
    pub fn as_written(&self) -> impl Iterator<Item = (&Named<Outlet>, &Optional<Name>)> {
        let mut last = None;
        self.iter()
            .filter(move |(outlet, _)| last.replace(outlet.body) != Some(outlet.body))
    }

    /// What is said of the inlet of the outlet at this place.
    pub fn inlet_of(&self, place: usize) -> &Optional<Name> {
        &self.inlets[place]
    }

    /// The breaker or fuse that the equipment has ahead of the outlet at this place.
    pub fn breaker_of(&self, place: usize) -> &Optional<Current> {
        &self.breakers[place]
    }

    /// The key under which the outlet at this place stands.
    pub fn key_of(&self, place: usize) -> &Name {
        &self.keys[place]
    }
}

impl Slot for PassedOn {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        each_outlet(reader, node, |key, named: Named<DeviceOutlet>| {
            self.keys.push(key.clone());
            let DeviceOutlet {
                coupler,
                inlet,
                rating,
                breaker,
                latch,
                ip,
            } = named.item;
            self.inlets.push(inlet);
            self.breakers.push(breaker);
            self.outlets.0.push(Named {
                name: named.name,
                body: named.body,
                note: named.note,
                item: Outlet {
                    coupler,
                    rating,
                    latch,
                    ip,
                },
            });
        });
    }

    fn spoil(&mut self, _: Span) {}

    fn schema() -> Value {
        schema::named(schema::record::<DeviceOutlet>())
    }
}
