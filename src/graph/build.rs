//! From resolved references to the tree of elements.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use crate::model::Model;
use crate::model::circuits::{Circuit, Pole, Supply};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::value::Id;

use super::fault::LinkFault;
use super::links::{CordFeed, FarEnd, Links, PduFeed, Receiver};
use super::outlets::{Carrier, OutletId};
use super::resolve::Resolver;
use super::rings::rings;
use super::switches::{Stand, Switches};
use super::{
    Ahead, Conductor, CutOff, Element, ElementId, ElementKind, Graph, ahead, loss, poles, switches,
};

/// What hangs on a thing, in the order of the definitions.
#[derive(Default)]
struct Children {
    circuits: Vec<Vec<Id<Circuit>>>,
    circuit_pdus: Vec<Vec<Id<Pdu>>>,
    circuit_cords: Vec<Vec<Id<Cord>>>,
    /// For each strip: number of the bank, and what is plugged in there.
    outlets: Vec<Vec<(u32, Plugged)>>,
    /// What hangs on the far ends of cords: strips that they feed, and what is plugged into devices there.
    ends: FxHashMap<FarEnd, Vec<Plugged>>,
    /// Cords and strips plugged into outlets of which nobody can tell what they are connected to.
    adrift: Vec<(Id<Device>, Plugged)>,
}

/// Something that hangs on an outlet or on the end of a cord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Plugged {
    /// A strip, by a plug of its own or at the connector of a cord.
    Pdu(Id<Pdu>),
    /// A cord.
    Cord(Id<Cord>),
}

/// The graph of a site, in which no more than `most_in_a_row` strips and devices feed each other, and transfer
/// switches stand as is said.
pub(super) fn build(model: &Model, most_in_a_row: usize, stand: Stand) -> Graph {
    let mut resolver = Resolver::new(model, most_in_a_row, stand);
    resolver.resolve();
    let children = Children::new(model, &resolver.links);
    let mut faults = resolver.faults;
    faults.extend(rings(model, &resolver.links));
    faults.extend(resolver.written.into_iter().map(LinkFault::Written));
    let mut builder = Builder {
        model,
        children,
        row: 0,
        most_in_a_row,
        graph: Graph {
            supplies: vec![None; model.supplies.len()],
            circuits: vec![None; model.circuits.len()],
            pdus: vec![None; model.pdus.len()],
            cords: vec![None; model.cords.len()],
            legs: FxHashMap::default(),
            elements: Vec::with_capacity(model.cords.len() * 2),
            conductors: Vec::with_capacity(model.cords.len() * 4),
            links: resolver.links,
            faults,
            feed_ends: BTreeMap::new(),
            cut: Vec::new(),
            adrift: Vec::new(),
            switches: Switches::default(),
            ahead: Ahead::default(),
            is_turned: stand == Stand::Turned,
        },
    };
    builder.supplies();
    builder.adrift();
    let mut graph = builder.graph;
    let circles = ahead::faults(&graph.links.supply_sources);
    graph.faults.extend(circles);
    graph.ahead = Ahead::of(model, &graph);
    graph.switches = Switches::of(model, &graph);
    let rings = switches::rings(&graph);
    graph.faults.extend(rings);
    graph.switches.part_rings();
    let depths = switches::depths(&graph);
    graph.switches.settle(&depths);
    graph
}

impl Children {
    fn new(model: &Model, links: &Links) -> Self {
        let mut children = Self {
            circuits: vec![Vec::new(); model.supplies.len()],
            circuit_pdus: vec![Vec::new(); model.circuits.len()],
            circuit_cords: vec![Vec::new(); model.circuits.len()],
            outlets: Vec::new(),
            ends: FxHashMap::default(),
            adrift: Vec::new(),
        };
        children.outlets.resize_with(model.pdus.len(), Vec::new);
        for (circuit, supply) in links.circuit_supplies.iter().enumerate() {
            if let Some(supply) = supply {
                children.circuits[supply.index()].push(Id::new(circuit));
            }
        }
        for (pdu, feed) in links.pdu_feeds.iter().enumerate() {
            children.add_pdu(links, Id::new(pdu), *feed);
        }
        for (cord, feed) in links.cord_feeds.iter().enumerate() {
            match *feed {
                Some(CordFeed::Receptacle(circuit)) => {
                    children.circuit_cords[circuit.index()].push(Id::new(cord))
                }
                Some(CordFeed::Outlet(outlet)) => {
                    children.plug(links, outlet, Plugged::Cord(Id::new(cord)))
                }
                Some(CordFeed::Cord(end)) => children.hang(end, Plugged::Cord(Id::new(cord))),
                None => {}
            }
        }
        children
    }

    fn add_pdu(&mut self, links: &Links, pdu: Id<Pdu>, feed: Option<PduFeed>) {
        match feed {
            Some(PduFeed::Circuit(circuit)) => self.circuit_pdus[circuit.index()].push(pdu),
            Some(PduFeed::Outlet(outlet)) => self.plug(links, outlet, Plugged::Pdu(pdu)),
            Some(PduFeed::Cord(cord, leg)) => self.hang((cord, leg), Plugged::Pdu(pdu)),
            None => {}
        }
    }

    /// A device on something or on what hangs behind it, which is then gone from here.
    fn first_device(&mut self, links: &Links, top: Plugged) -> Option<Id<Device>> {
        let mut hanging = vec![top];
        let mut first = None;
        while let Some(plugged) = hanging.pop() {
            let cord = match plugged {
                Plugged::Pdu(pdu) => {
                    let own = std::mem::take(&mut self.outlets[pdu.index()]);
                    hanging.extend(own.into_iter().map(|(_, plugged)| plugged));
                    continue;
                }
                Plugged::Cord(cord) => cord,
            };
            for end in links.cord_ends(cord) {
                hanging.extend(self.ends.remove(&(cord, end.leg)).into_iter().flatten());
                if let Receiver::Inlet(inlet) = end.at {
                    let device = links.inlets[inlet as usize].device;
                    first = Some(first.map_or(device, |first: Id<Device>| first.min(device)));
                }
            }
        }
        first
    }

    fn plug(&mut self, links: &Links, outlet: OutletId, plugged: Plugged) {
        match outlet.on {
            Carrier::Pdu(pdu) => {
                if let Some(table) = links.outlet_table(pdu) {
                    let bank = table.slot(outlet.number).bank;
                    self.outlets[pdu.index()].push((bank, plugged));
                }
            }
            // What hangs on an inlet without a cord is not fed, as the inlet itself.
            Carrier::Device(device) => match links.inlet_behind(device, outlet.number) {
                Some(inlet) => {
                    let end = links.inlets[inlet as usize].fed_by;
                    end.into_iter().for_each(|end| self.hang(end, plugged));
                }
                None => self.adrift.push((device, plugged)),
            },
        }
    }

    fn hang(&mut self, end: FarEnd, plugged: Plugged) {
        self.ends.entry(end).or_default().push(plugged);
    }
}

struct Builder<'m> {
    model: &'m Model,
    children: Children,
    /// How many strips, and devices that pass power on, there are on the way down to where things are added.
    row: usize,
    most_in_a_row: usize,
    graph: Graph,
}

impl Builder<'_> {
    fn supplies(&mut self) {
        for feed in loss::by_feed(self.model) {
            let first = ElementId(self.graph.len() as u32);
            feed.iter().for_each(|supply| self.supply(*supply));
            if feed.len() > 1 {
                let end = self.graph.len() as u32;
                self.graph.feed_ends.insert(first, end);
            }
        }
    }

    fn supply(&mut self, supply: Id<Supply>) {
        let system = self.model.supplies[supply].system.known();
        let conductors = system.map(poles::of_system).unwrap_or_default();
        let conductors = conductors
            .into_iter()
            .map(|pole| Conductor { pole, feeder: None });
        let conductors: Vec<Conductor> = conductors.collect();
        let id = self.add(ElementKind::Supply(supply), None, &conductors);
        self.graph.supplies[supply.index()] = Some(id);
        for circuit in std::mem::take(&mut self.children.circuits[supply.index()]) {
            self.circuit(circuit, id);
        }
        self.close(id);
    }

    fn circuit(&mut self, circuit: Id<Circuit>, supply: ElementId) {
        let item = &self.model.circuits[circuit];
        let feeder = self.poles_of(supply);
        let mut conductors = Vec::new();
        for pole in item.poles.iter() {
            match poles::matching(&feeder, pole.value) {
                Some(conductor) => conductors.push(conductor),
                None if feeder.is_empty() => {}
                None => self.pole_missing(circuit, supply, pole.value, pole.span),
            }
        }
        let id = self.add(ElementKind::Circuit(circuit), Some(supply), &conductors);
        self.graph.circuits[circuit.index()] = Some(id);
        for pdu in std::mem::take(&mut self.children.circuit_pdus[circuit.index()]) {
            self.pdu(pdu, id);
        }
        for cord in std::mem::take(&mut self.children.circuit_cords[circuit.index()]) {
            self.cord(cord, id);
        }
        self.close(id);
    }

    fn pole_missing(
        &mut self,
        circuit: Id<Circuit>,
        supply: ElementId,
        pole: Pole,
        span: crate::source::Span,
    ) {
        let ElementKind::Supply(supply) = self.graph.kind(supply) else {
            return;
        };
        self.graph.faults.push(LinkFault::PoleMissing {
            span,
            owner: self.model.circuits[circuit].name.value.clone(),
            pole: pole.word(),
            feeder: self.model.supplies[supply].name.value.clone(),
        });
    }

    fn pdu(&mut self, pdu: Id<Pdu>, feeder: ElementId) {
        self.in_row(Plugged::Pdu(pdu), feeder, |builder| {
            builder.add_pdu(pdu, feeder)
        });
    }

    /// Adds something that stands in a row of strips and devices; what is too far down it is left out with
    /// all behind it.
    fn in_row(&mut self, what: Plugged, feeder: ElementId, add: impl FnOnce(&mut Self)) {
        if self.row == self.most_in_a_row {
            let device = self.children.first_device(&self.graph.links, what);
            self.graph.cut.push(CutOff {
                what,
                feeder,
                device,
            });
            return;
        }
        self.row += 1;
        add(self);
        self.row -= 1;
    }

    fn add_pdu(&mut self, pdu: Id<Pdu>, feeder: ElementId) {
        let feeder_poles = self.poles_of(feeder);
        let model = self.graph.pdu_model(self.model, pdu);
        let met = model
            .map(|model| poles::of_pdu(model, &feeder_poles))
            .unwrap_or_default();
        let conductors: Vec<Conductor> = met.iter().map(|(_, conductor)| *conductor).collect();
        let id = self.add(ElementKind::Pdu(pdu), Some(feeder), &conductors);
        self.graph.pdus[pdu.index()] = Some(id);
        let first = self.graph.conductors_of(id).start as u32;
        let numbered = met
            .iter()
            .zip(first..)
            .map(|((terminal, conductor), number)| (*terminal, number, conductor.pole));
        let terminals: Vec<(Pole, u32, Pole)> = numbered.collect();
        let mut plugged = std::mem::take(&mut self.children.outlets[pdu.index()]);
        plugged.sort_by_key(|(bank, _)| *bank);
        let mut plugged = plugged.as_slice();
        let banks = model.map_or(0, |model| model.banks.len() as u32);
        for bank in 0..banks {
            let own = plugged.partition_point(|(at, _)| *at == bank);
            let (own, others) = plugged.split_at(own);
            self.bank(pdu, bank, id, &terminals, own);
            plugged = others;
        }
        self.close(id);
    }

    fn bank(
        &mut self,
        pdu: Id<Pdu>,
        bank: u32,
        feeder: ElementId,
        terminals: &[(Pole, u32, Pole)],
        plugged: &[(u32, Plugged)],
    ) {
        let model = self.graph.pdu_model(self.model, pdu);
        let between =
            model.and_then(|model| model.banks.items()[bank as usize].between.known().copied());
        let conductors = between.and_then(|between| poles::of_bank(between, terminals));
        let conductors = conductors.as_ref().map_or(&[][..], |both| both);
        let id = self.add(ElementKind::Bank(pdu, bank), Some(feeder), conductors);
        for (_, plugged) in plugged {
            match *plugged {
                Plugged::Cord(cord) => self.cord(cord, id),
                Plugged::Pdu(lower) => self.pdu(lower, id),
            }
        }
        self.close(id);
    }

    fn cord(&mut self, cord: Id<Cord>, feeder: ElementId) {
        let id = self.add_behind(ElementKind::Cord(cord), feeder);
        self.graph.cords[cord.index()] = Some(id);
        let legs = self
            .graph
            .cord_type(self.model, cord)
            .map_or(0, |kind| kind.legs.len() as u32);
        for leg in 0..legs {
            let leg_id = self.add_behind(ElementKind::Leg(cord, leg), id);
            self.graph.legs.entry(cord).or_default().push(leg_id);
            self.hanging_on((cord, Some(leg)), leg_id);
            self.close(leg_id);
        }
        self.hanging_on((cord, None), id);
        self.close(id);
    }

    /// Adds what hangs on the far end of a cord or leg.
    fn hanging_on(&mut self, end: FarEnd, feeder: ElementId) {
        if self.children.ends.is_empty() {
            return;
        }
        let mut hanging = self.children.ends.remove(&end).unwrap_or_default();
        let links = &self.graph.links;
        let is_fixed = |plugged: &Plugged| {
            let outlet = links.outlet_above(*plugged);
            !outlet.is_some_and(|outlet| links.is_switched(outlet))
        };
        hanging.sort_by_key(is_fixed);
        for plugged in hanging {
            match plugged {
                Plugged::Pdu(pdu) => self.pdu(pdu, feeder),
                Plugged::Cord(cord) => {
                    self.in_row(plugged, feeder, |builder| builder.cord(cord, feeder));
                }
            }
        }
    }

    /// What is plugged into outlets of which nobody can tell what they are connected to loads one of the
    /// inlets of its device: it may be any.
    fn adrift(&mut self) {
        for (device, what) in std::mem::take(&mut self.children.adrift) {
            let behind = self.children.first_device(&self.graph.links, what);
            let inlets = self.graph.links.inlets_of(device);
            let feeders = inlets.filter_map(|(_, inlet)| self.graph.feeding(inlet));
            let adrift = feeders.map(|feeder| CutOff {
                what,
                feeder,
                device: behind,
            });
            let adrift: Vec<CutOff> = adrift.collect();
            self.graph.adrift.extend(adrift);
        }
    }

    /// Adds a cord or leg: on both conductors of a two-pole feeder; on none if it has more or fewer.
    fn add_behind(&mut self, kind: ElementKind, feeder: ElementId) -> ElementId {
        let range = self.graph.conductors_of(feeder);
        if range.len() != 2 {
            return self.add(kind, Some(feeder), &[]);
        }
        let behind = |at: usize| Conductor {
            pole: self.graph.conductors[at].pole,
            feeder: Some(at as u32),
        };
        let both = [behind(range.start), behind(range.start + 1)];
        self.add(kind, Some(feeder), &both)
    }

    fn poles_of(&self, id: ElementId) -> Vec<(u32, Pole)> {
        let range = self.graph.conductors_of(id);
        range
            .map(|at| (at as u32, self.graph.conductors[at].pole))
            .collect()
    }

    fn add(
        &mut self,
        kind: ElementKind,
        feeder: Option<ElementId>,
        conductors: &[Conductor],
    ) -> ElementId {
        let id = ElementId(self.graph.elements.len() as u32);
        self.graph.elements.push(Element {
            kind,
            feeder,
            end: id.0 + 1,
            first_conductor: self.graph.conductors.len() as u32,
            conductors: conductors.len() as u8,
        });
        self.graph.conductors.extend_from_slice(conductors);
        id
    }

    fn close(&mut self, id: ElementId) {
        self.graph.elements[id.index()].end = self.graph.elements.len() as u32;
    }
}
