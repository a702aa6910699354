//! What surrounds a thing: the zone it is in, and what the site and the zone say about it.

use crate::finding::Fact;
use crate::graph::{Carrier, ElementId, ElementKind, Receiver};
use crate::model::cords::Cord;
use crate::model::decode::Record;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::places::{Rack, Zone};
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::quantity::Temperature;
use crate::source::Span;

use super::{Analysis, absence, field_or_name};

/// The zones that a cord touches: that of its outlet and those of its devices.
#[derive(Clone, Debug, Default)]
pub struct Environment<'a> {
    /// Without repeats, in electrical order.
    pub zones: Vec<&'a Named<Zone>>,
}

impl<'a> Environment<'a> {
    /// The first zone for which `field` gives something, with it.
    pub fn find<T>(&self, field: impl Fn(&'a Zone) -> Option<T>) -> Option<(&'a Named<Zone>, T)> {
        self.zones
            .iter()
            .find_map(|zone| Some((*zone, field(&zone.item)?)))
    }
}

/// The air of a zone or of the site, as messages name it.
pub struct AirWords {
    /// Whose it is, for the middle of a sentence: `in zone hall`, `of the site`.
    pub whose: String,
    /// The name of the zone; `site` where it is the site's.
    pub about: Name,
    /// Where the temperature stands, or should stand; `None` where nothing of the site is written at all.
    pub at: Option<Span>,
    /// What is wrong with it if it gives nothing: it `is missing`, or `cannot be read`.
    pub how: &'static str,
    /// The temperature as a fact; `None` where there is no place for it.
    pub fact: Option<Fact>,
}

/// A rack or zone that a thing is said to be in and that nobody finds; `None` where none is written.
fn unfound<T: Record>(owner: &Named<T>, key: &'static str, place: &Field<Name>) -> Option<Fact> {
    place.span()?;
    Some(Fact::of(owner, key, Some(place)))
}

impl<'a> Analysis<'a> {
    /// The zone that a rack stands in.
    pub fn zone_of_rack(&self, rack: Option<Id<Rack>>) -> Option<&'a Named<Zone>> {
        let zone = self.graph.links.rack_zones[rack?.index()]?;
        Some(&self.model.zones[zone])
    }

    /// The zone that a PDU is in.
    pub fn zone_of_pdu(&self, pdu: Id<Pdu>) -> Option<&'a Named<Zone>> {
        self.zone_of_rack(self.graph.links.pdu_racks[pdu.index()])
    }

    /// The zone that a device is in: that of its rack, or its own where it is in no rack.
    pub fn zone_of_device(&self, device: Id<Device>) -> Option<&'a Named<Zone>> {
        let links = &self.graph.links;
        let rack = links.device_racks[device.index()];
        match rack {
            Some(_) => self.zone_of_rack(rack),
            None => Some(&self.model.zones[links.device_zones[device.index()]?]),
        }
    }

    /// The zones that a cord touches, in electrical order; one may come twice.
    pub fn zones_of_cord(&self, cord: Id<Cord>) -> impl Iterator<Item = &'a Named<Zone>> {
        let analysis = *self;
        let upper = self.carrier_of(cord);
        let upper = upper.and_then(|carrier| self.zone_of_carrier(carrier));
        // Nobody says where a joint lies: each cord of a line may be anywhere on the way.
        let lower = self.graph.links.line_ends(cord).filter_map(move |end| {
            let links = &analysis.graph.links;
            match end {
                Receiver::Inlet(inlet) => {
                    analysis.zone_of_device(links.inlets[inlet as usize].device)
                }
                Receiver::Pdu(pdu) => analysis.zone_of_pdu(pdu),
                Receiver::Cord(_) | Receiver::Unknown => None,
            }
        });
        upper.into_iter().chain(lower)
    }

    /// The zones that a cord touches.
    pub fn environment(&self, cord: Id<Cord>) -> Environment<'a> {
        let mut zones: Vec<_> = self.zones_of_cord(cord).collect();
        zones.dedup_by_key(|zone| zone.name.span);
        Environment { zones }
    }

    /// Whether a cord begins and ends in one and the same rack, where nobody treads on it.
    pub fn stays_in_one_rack(&self, cord: Id<Cord>) -> bool {
        let links = &self.graph.links;
        let Some(carrier) = self.carrier_of(cord) else {
            return false;
        };
        let rack = self.rack_of_carrier(carrier);
        let mut ends = links.line_ends(cord);
        rack.is_some()
            && ends.all(|end| match end {
                Receiver::Inlet(inlet) => {
                    let device = links.inlets[inlet as usize].device;
                    links.device_racks[device.index()] == rack
                }
                Receiver::Pdu(other) => links.pdu_racks[other.index()] == rack,
                Receiver::Cord(_) | Receiver::Unknown => false,
            })
    }

    /// The hottest air a cord lies in, and where the definitions say so; `None` if nobody says.
    pub fn ambient_of_cord(&self, cord: Id<Cord>) -> Option<Spanned<Temperature>> {
        match self.astray_at_cord(cord) {
            Some(_) => None,
            None => self.hottest(self.zones_of_cord(cord)),
        }
    }

    /// The air at a PDU, and where the definitions say so; `None` if nobody says.
    pub fn ambient_of_pdu(&self, pdu: Id<Pdu>) -> Option<Spanned<Temperature>> {
        match self.astray_at_pdu(pdu) {
            Some(_) => None,
            None => self.air_in(self.zone_of_pdu(pdu)),
        }
    }

    /// What an element touches that is said to be somewhere, while nobody can tell where: its air is not
    /// that of the site.
    pub fn astray(&self, id: ElementId) -> Option<Fact> {
        match self.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => self.astray_at_cord(cord),
            ElementKind::Pdu(pdu) | ElementKind::Bank(pdu, _) => self.astray_at_pdu(pdu),
            ElementKind::Supply(_) | ElementKind::Circuit(_) => None,
        }
    }

    fn astray_at_cord(&self, cord: Id<Cord>) -> Option<Fact> {
        let links = &self.graph.links;
        let upper = self.carrier_of(cord).and_then(|carrier| match carrier {
            Carrier::Pdu(pdu) => self.astray_at_pdu(pdu),
            Carrier::Device(device) => self.astray_at_device(device),
        });
        upper.or_else(|| {
            let mut ends = links.line_ends(cord);
            ends.find_map(|end| match end {
                Receiver::Inlet(inlet) => {
                    self.astray_at_device(links.inlets[inlet as usize].device)
                }
                Receiver::Pdu(pdu) => self.astray_at_pdu(pdu),
                Receiver::Cord(_) | Receiver::Unknown => None,
            })
        })
    }

    fn astray_at_pdu(&self, pdu: Id<Pdu>) -> Option<Fact> {
        let item = &self.model.pdus[pdu];
        let rack = self.graph.links.pdu_racks[pdu.index()];
        match rack {
            Some(rack) => self.astray_rack(rack),
            None => unfound(item, "rack", &item.rack),
        }
    }

    fn astray_at_device(&self, device: Id<Device>) -> Option<Fact> {
        let (item, links) = (&self.model.devices[device], &self.graph.links);
        match links.device_racks[device.index()] {
            Some(rack) => self.astray_rack(rack),
            None => unfound(item, "rack", &item.rack).or_else(|| {
                let is_lost = links.device_zones[device.index()].is_none();
                is_lost.then(|| unfound(item, "zone", &item.zone)).flatten()
            }),
        }
    }

    fn astray_rack(&self, rack: Id<Rack>) -> Option<Fact> {
        let item = &self.model.racks[rack];
        let is_lost = self.graph.links.rack_zones[rack.index()].is_none();
        is_lost.then(|| unfound(item, "zone", &item.zone)).flatten()
    }

    /// The air in a zone, or that of the site where there is no zone; `None` if nobody says.
    pub fn air_in(&self, zone: Option<&'a Named<Zone>>) -> Option<Spanned<Temperature>> {
        self.hottest(zone.into_iter())
    }

    /// What the air of a zone, or of the site where there is no zone, goes by.
    pub fn air_words(&self, zone: Option<&Named<Zone>>) -> AirWords {
        let site = &self.model.site.ambient;
        match zone {
            Some(zone) => AirWords {
                whose: format!("in zone {}", zone.name.value),
                about: zone.name.value.clone(),
                at: Some(field_or_name(&zone.ambient, &zone.name)),
                how: absence(&zone.ambient),
                fact: Some(Fact::of(zone, "ambient", Some(&zone.ambient))),
            },
            None => AirWords {
                whose: "of the site".to_owned(),
                about: "site".into(),
                at: site.span().or(self.site_place()),
                how: absence(site),
                fact: self
                    .site_place()
                    .map(|at| Fact::of_site("ambient", site, at)),
            },
        }
    }

    /// The air at an element: of a cord the hottest it touches, of a PDU its zone's, of a circuit
    /// the site's (its wiring runs outside the zones).
    pub fn ambient(&self, id: ElementId) -> Option<Spanned<Temperature>> {
        match self.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => self.ambient_of_cord(cord),
            ElementKind::Pdu(pdu) | ElementKind::Bank(pdu, _) => self.ambient_of_pdu(pdu),
            ElementKind::Supply(_) | ElementKind::Circuit(_) => {
                self.model.site.ambient.given().copied()
            }
        }
    }

    /// The hottest of the zones; the site's air where there is no zone.
    fn hottest(
        &self,
        zones: impl Iterator<Item = &'a Named<Zone>>,
    ) -> Option<Spanned<Temperature>> {
        let site = self.model.site.ambient.given().copied();
        let mut zones = zones;
        let hottest = zones.try_fold(None, |hottest: Option<Spanned<Temperature>>, zone| {
            // One zone without a temperature makes the hottest unknown.
            let air = match &zone.ambient {
                Field::Given(air) => *air,
                Field::Absent => site?,
                Field::Unreadable(_) => return None,
            };
            let is_hotter = hottest.is_none_or(|so_far| so_far.value < air.value);
            Some(if is_hotter { Some(air) } else { hottest })
        })?;
        hottest.or(site)
    }
}
