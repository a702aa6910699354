//! What the zones of a site demand of all that stands in them.

use crate::model::Model;
use crate::model::optional::Optional;
use crate::model::places::{Demand, Rack, Zone};
use crate::model::value::{Field, Id, Name, Section, Spanned};

use super::Policy;

/// Something that a zone may demand.
#[derive(Debug)]
pub struct ZoneDemand {
    /// Its key in the zone: `halogen-free`.
    pub key: &'static str,
    read: fn(&Zone) -> &Optional<Demand>,
    write: fn(&mut Zone) -> &mut Optional<Demand>,
}

/// All of them, in the order of the format.
pub static DEMANDS: &[ZoneDemand] = &[
    ZoneDemand {
        key: "retention",
        read: |zone| &zone.retention,
        write: |zone| &mut zone.retention,
    },
    ZoneDemand {
        key: "halogen-free",
        read: |zone| &zone.halogen_free,
        write: |zone| &mut zone.halogen_free,
    },
];

/// A rack, or a device in no rack, and the zone that it is in as far as that is said.
#[derive(Clone, Copy, Debug)]
pub struct Standing<'m> {
    /// `rack` or `device`.
    pub what: &'static str,
    /// What it is called, and where that is written.
    pub name: &'m Spanned<Name>,
    /// Its zone.
    pub zone: &'m Field<Name>,
}

impl ZoneDemand {
    /// What a zone says of it.
    pub fn of<'z>(&self, zone: &'z Zone) -> &'z Optional<Demand> {
        (self.read)(zone)
    }

    /// Whether the zone of this name demands it.
    pub fn holds(&self, zones: &Section<Zone>, name: &str) -> bool {
        let zone = zones.find(name).map(|zone| &zones[zone]);
        zone.is_some_and(|zone| self.of(zone).requires())
    }
}

impl<'m> Policy<'m> {
    /// The zones of the site.
    pub fn zones(&self) -> &'m Section<Zone> {
        self.zones
    }

    /// All that stands in a zone by its own words.
    pub fn standing(&self) -> impl Iterator<Item = Standing<'m>> {
        let racks = self.racks.iter().map(|(rack, _)| self.rack(rack));
        let devices = self.devices.iter();
        let devices = devices.map(|(_, device)| Standing {
            what: "device",
            name: &device.name,
            zone: &device.zone,
        });
        racks.chain(devices)
    }

    /// The rack or device that is called so, as it stands here.
    pub fn standing_as(&self, other: &Standing<'_>) -> Option<Standing<'m>> {
        let name = &other.name.value;
        if other.what == "rack" {
            return self.racks.find(name).map(|rack| self.rack(rack));
        }
        let device = self.devices.find(name)?;
        let device = &self.devices[device];
        // In a rack it is the rack that says where it stands.
        let rack = device.rack.known().and_then(|rack| self.racks.find(rack));
        Some(Standing {
            what: "device",
            name: &device.name,
            zone: rack.map_or(&device.zone, |rack| &self.racks[rack].zone),
        })
    }

    fn rack(&self, rack: Id<Rack>) -> Standing<'m> {
        let rack = &self.racks[rack];
        Standing {
            what: "rack",
            name: &rack.name,
            zone: &rack.zone,
        }
    }

    /// Whether the zones of definitions demand less than those of the same names do here.
    pub fn demands_more_than(&self, model: &Model) -> bool {
        let zones = self
            .zones
            .names()
            .filter(|name| model.zones.has(&name.value));
        let mut lost = zones.flat_map(|name| DEMANDS.iter().map(move |demand| (name, demand)));
        lost.any(|(name, demand)| {
            demand.holds(self.zones, &name.value) && !demand.holds(&model.zones, &name.value)
        })
    }

    /// Makes the zones of definitions demand what those of the same names do here, shown where they
    /// stand.
    pub fn put_demands_into(&self, model: &mut Model) {
        for name in self.zones.names() {
            let Some(zone) = model.zones.find(&name.value) else {
                continue;
            };
            for demand in DEMANDS
                .iter()
                .filter(|demand| demand.holds(self.zones, &name.value))
            {
                let zone = &mut model.zones[zone];
                let span = demand.of(zone).span().unwrap_or(zone.name.span);
                let value = Demand::Required;
                *(demand.write)(&mut zone.item) = Optional::Given(Spanned { value, span });
            }
        }
    }
}
