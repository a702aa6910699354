//! The parts of a site that have nothing to do with each other electrically: supplies and all that
//! hangs on them, joined by every device with inlets on both, and by racks and bundles, in which
//! things are near each other.

use rustc_hash::FxHashMap;

use crate::graph::{Carrier, CordFeed, Graph, PduFeed, Receiver};
use crate::model::Model;
use crate::model::circuits::{Circuit, Supply};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::places::Rack;
use crate::model::value::{Id, Name};

/// An island, by any number that is the same for all its members.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Island(u32);

/// What stands on one island.
#[derive(Clone, Debug, Default)]
pub struct Members {
    /// Supplies.
    pub supplies: Vec<Id<Supply>>,
    /// Circuits.
    pub circuits: Vec<Id<Circuit>>,
    /// PDUs.
    pub pdus: Vec<Id<Pdu>>,
    /// Devices.
    pub devices: Vec<Id<Device>>,
    /// Cords.
    pub cords: Vec<Id<Cord>>,
}

/// The islands of a site.
#[derive(Clone, Debug, Default)]
pub struct Islands {
    /// First number of circuits, PDUs, devices, cords and racks; supplies begin at 0.
    first: [u32; 5],
    /// For each thing the number that its island goes by.
    island: Vec<u32>,
    members: FxHashMap<u32, Members>,
}

impl Islands {
    /// Finds the islands of a site.
    pub fn of(model: &Model, graph: &Graph) -> Self {
        let counts = [
            model.supplies.len(),
            model.circuits.len(),
            model.pdus.len(),
            model.devices.len(),
            model.cords.len(),
            model.racks.len(),
        ];
        let mut sums = counts.iter().scan(0, |sum, count| {
            *sum += *count as u32;
            Some(*sum)
        });
        let first = std::array::from_fn(|_| sums.next().unwrap_or_default());
        let all = sums.next().unwrap_or_default();
        let mut islands = Self {
            first,
            island: (0..all).collect(),
            members: FxHashMap::default(),
        };
        islands.join_circuits_and_pdus(graph);
        islands.join_devices(model, graph);
        islands.join_cords(model, graph);
        islands.gather(model);
        islands
    }

    /// The island of a supply.
    pub fn of_supply(&self, id: Id<Supply>) -> Island {
        Island(self.island[id.index()])
    }

    /// The island of a circuit.
    pub fn of_circuit(&self, id: Id<Circuit>) -> Island {
        Island(self.island[self.circuit(id) as usize])
    }

    /// The island of a PDU.
    pub fn of_pdu(&self, id: Id<Pdu>) -> Island {
        Island(self.island[self.pdu(id) as usize])
    }

    /// The island of a device.
    pub fn of_device(&self, id: Id<Device>) -> Island {
        Island(self.island[self.device(id) as usize])
    }

    /// The island of a cord.
    pub fn of_cord(&self, id: Id<Cord>) -> Island {
        Island(self.island[self.cord(id) as usize])
    }

    /// What stands on an island.
    pub fn members(&self, island: Island) -> Option<&Members> {
        self.members.get(&island.0)
    }

    fn circuit(&self, id: Id<Circuit>) -> u32 {
        self.first[0] + id.index() as u32
    }

    fn pdu(&self, id: Id<Pdu>) -> u32 {
        self.first[1] + id.index() as u32
    }

    fn device(&self, id: Id<Device>) -> u32 {
        self.first[2] + id.index() as u32
    }

    fn cord(&self, id: Id<Cord>) -> u32 {
        self.first[3] + id.index() as u32
    }

    fn carrier(&self, carrier: Carrier) -> u32 {
        match carrier {
            Carrier::Pdu(pdu) => self.pdu(pdu),
            Carrier::Device(device) => self.device(device),
        }
    }

    fn rack(&self, id: Id<Rack>) -> u32 {
        self.first[4] + id.index() as u32
    }

    fn join_circuits_and_pdus(&mut self, graph: &Graph) {
        let links = &graph.links;
        for (supply, source) in links.supply_sources.iter().enumerate() {
            if let Some(source) = source {
                self.join(supply as u32, source.index() as u32);
            }
        }
        for (circuit, supply) in links.circuit_supplies.iter().enumerate() {
            if let Some(supply) = supply {
                self.join(self.circuit(Id::new(circuit)), supply.index() as u32);
            }
        }
        for (pdu, feed) in links.pdu_feeds.iter().enumerate() {
            let feeder = match *feed {
                Some(PduFeed::Circuit(circuit)) => self.circuit(circuit),
                Some(PduFeed::Outlet(outlet)) => self.carrier(outlet.on),
                Some(PduFeed::Cord(cord, _)) => self.cord(cord),
                None => continue,
            };
            self.join(self.pdu(Id::new(pdu)), feeder);
        }
        for (pdu, rack) in links.pdu_racks.iter().enumerate() {
            if let Some(rack) = *rack {
                self.join(self.pdu(Id::new(pdu)), self.rack(rack));
            }
        }
    }

    fn join_devices(&mut self, model: &Model, graph: &Graph) {
        for (device, _) in model.devices.iter() {
            if let Some(rack) = graph.links.device_racks[device.index()] {
                self.join(self.device(device), self.rack(rack));
            }
        }
    }

    fn join_cords(&mut self, model: &Model, graph: &Graph) {
        let links = &graph.links;
        let mut bundles: FxHashMap<&Name, u32> = FxHashMap::default();
        for (cord, item) in model.cords.iter() {
            let own = self.cord(cord);
            match links.cord_feeds[cord.index()] {
                Some(CordFeed::Outlet(outlet)) => self.join(own, self.carrier(outlet.on)),
                Some(CordFeed::Receptacle(circuit)) => self.join(own, self.circuit(circuit)),
                Some(CordFeed::Cord((upper, _))) => self.join(own, self.cord(upper)),
                None => {}
            }
            for end in links.cord_ends(cord) {
                match end.at {
                    Receiver::Inlet(inlet) => {
                        let device = links.inlets[inlet as usize].device;
                        self.join(own, self.device(device));
                    }
                    Receiver::Pdu(pdu) => self.join(own, self.pdu(pdu)),
                    Receiver::Cord(lower) => self.join(own, self.cord(lower)),
                    Receiver::Unknown => {}
                }
            }
            if let Some(bundle) = item.bundle.known() {
                let first = *bundles.entry(bundle).or_insert(own);
                self.join(own, first);
            }
        }
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.find(a), self.find(b));
        self.island[a.max(b) as usize] = a.min(b);
    }

    fn find(&mut self, mut at: u32) -> u32 {
        while self.island[at as usize] != at {
            let above = self.island[at as usize];
            self.island[at as usize] = self.island[above as usize];
            at = above;
        }
        at
    }

    /// Gives every thing its island's final number, and every island its members.
    fn gather(&mut self, model: &Model) {
        for at in 0..self.island.len() as u32 {
            self.island[at as usize] = self.find(at);
        }
        let mut members = std::mem::take(&mut self.members);
        for (id, _) in model.supplies.iter() {
            members
                .entry(self.of_supply(id).0)
                .or_default()
                .supplies
                .push(id);
        }
        for (id, _) in model.circuits.iter() {
            members
                .entry(self.of_circuit(id).0)
                .or_default()
                .circuits
                .push(id);
        }
        for (id, _) in model.pdus.iter() {
            members.entry(self.of_pdu(id).0).or_default().pdus.push(id);
        }
        for (id, _) in model.devices.iter() {
            members
                .entry(self.of_device(id).0)
                .or_default()
                .devices
                .push(id);
        }
        for (id, _) in model.cords.iter() {
            members
                .entry(self.of_cord(id).0)
                .or_default()
                .cords
                .push(id);
        }
        self.members = members;
    }
}
