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
use super::links::{CordFeed, Links, PduFeed, Receiver};
use super::resolve::Resolver;
use super::{Conductor, CutOff, Element, ElementId, ElementKind, Graph, loss, poles};

/// What hangs on a thing, in the order of the definitions.
#[derive(Default)]
struct Children {
    circuits: Vec<Vec<Id<Circuit>>>,
    circuit_pdus: Vec<Vec<Id<Pdu>>>,
    circuit_cords: Vec<Vec<Id<Cord>>>,
    /// For each strip: number of the bank, and what is plugged in there.
    outlets: Vec<Vec<(u32, Plugged)>>,
    /// Strips fed by cords, or by legs of splitters.
    cord_pdus: FxHashMap<CordOrLeg, Vec<Id<Pdu>>>,
}

/// A cord, or one of its legs by its number.
type CordOrLeg = (Id<Cord>, Option<u32>);

#[derive(Clone, Copy)]
enum Plugged {
    Cord(Id<Cord>),
    Pdu(Id<Pdu>),
}

/// The graph of a site, in which no more than `most_in_a_row` strips feed each other.
pub(super) fn build(model: &Model, most_in_a_row: usize) -> Graph {
    let mut resolver = Resolver::new(model);
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
        },
    };
    builder.supplies();
    builder.graph
}

impl Children {
    fn new(model: &Model, links: &Links) -> Self {
        let mut children = Self {
            circuits: vec![Vec::new(); model.supplies.len()],
            circuit_pdus: vec![Vec::new(); model.circuits.len()],
            circuit_cords: vec![Vec::new(); model.circuits.len()],
            outlets: Vec::new(),
            cord_pdus: FxHashMap::default(),
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
                Some(CordFeed::Outlet(pdu, outlet)) => {
                    children.plug(links, pdu, outlet, Plugged::Cord(Id::new(cord)))
                }
                None => {}
            }
        }
        children
    }

    fn add_pdu(&mut self, links: &Links, pdu: Id<Pdu>, feed: Option<PduFeed>) {
        match feed {
            Some(PduFeed::Circuit(circuit)) => self.circuit_pdus[circuit.index()].push(pdu),
            Some(PduFeed::Outlet(upper, outlet)) => {
                self.plug(links, upper, outlet, Plugged::Pdu(pdu))
            }
            Some(PduFeed::Cord(cord, leg)) => {
                self.cord_pdus.entry((cord, leg)).or_default().push(pdu)
            }
            None => {}
        }
    }

    /// A device on a strip or on the strips behind it, which are then gone from here.
    fn first_device(&mut self, links: &Links, pdu: Id<Pdu>) -> Option<Id<Device>> {
        let mut pdus = vec![pdu];
        let mut first = None;
        while let Some(pdu) = pdus.pop() {
            for (_, plugged) in std::mem::take(&mut self.outlets[pdu.index()]) {
                let cord = match plugged {
                    Plugged::Pdu(lower) => {
                        pdus.push(lower);
                        continue;
                    }
                    Plugged::Cord(cord) => cord,
                };
                for end in links.cord_ends(cord) {
                    pdus.extend(
                        self.cord_pdus
                            .remove(&(cord, end.leg))
                            .into_iter()
                            .flatten(),
                    );
                    if let Receiver::Inlet(inlet) = end.at {
                        let device = links.inlets[inlet as usize].device;
                        first = Some(first.map_or(device, |first: Id<Device>| first.min(device)));
                    }
                }
            }
        }
        first
    }

    fn plug(&mut self, links: &Links, pdu: Id<Pdu>, outlet: u32, plugged: Plugged) {
        if let Some(table) = links.outlet_table(pdu) {
            self.outlets[pdu.index()].push((table.slot(outlet).bank, plugged));
        }
    }
}

/// The strip that a strip is fed from, directly or through a cord.
fn upper_pdu(links: &Links, pdu: Id<Pdu>) -> Option<Id<Pdu>> {
    match links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(_) => None,
        PduFeed::Outlet(upper, _) => Some(upper),
        PduFeed::Cord(cord, _) => match links.cord_feeds[cord.index()]? {
            CordFeed::Outlet(upper, _) => Some(upper),
            CordFeed::Receptacle(_) => None,
        },
    }
}

/// Strips that feed themselves: each ring once, from its first strip.
fn rings(model: &Model, links: &Links) -> Vec<LinkFault> {
    let mut rings = Vec::new();
    // 0: not seen; n: seen on the walk that began at strip n - 1.
    let mut seen = vec![0usize; model.pdus.len()];
    for start in 0..model.pdus.len() {
        let mut at = Some(Id::new(start));
        while let Some(pdu) = at.filter(|pdu: &Id<Pdu>| seen[pdu.index()] == 0) {
            seen[pdu.index()] = start + 1;
            at = upper_pdu(links, pdu);
        }
        let Some(first) = at.filter(|pdu| seen[pdu.index()] == start + 1) else {
            continue;
        };
        let mut ring = vec![first];
        let mut next = upper_pdu(links, first);
        while let Some(pdu) = next.filter(|&pdu| pdu != first) {
            ring.push(pdu);
            next = upper_pdu(links, pdu);
        }
        // Begin at the strip that was written first, whatever the walk met first.
        let least = (0..ring.len())
            .min_by_key(|&place| ring[place])
            .unwrap_or(0);
        ring.rotate_left(least);
        rings.push(LinkFault::Loop { ring });
    }
    rings
}

struct Builder<'m> {
    model: &'m Model,
    children: Children,
    /// How many strips there are on the way down to where things are added.
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
        if self.row == self.most_in_a_row {
            return self.cut(pdu, feeder);
        }
        self.row += 1;
        self.add_pdu(pdu, feeder);
        self.row -= 1;
    }

    /// Leaves out a strip with all behind it.
    fn cut(&mut self, pdu: Id<Pdu>, feeder: ElementId) {
        let device = self.children.first_device(&self.graph.links, pdu);
        self.graph.cut.push(CutOff {
            pdu,
            feeder,
            device,
        });
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
            self.pdus_on(cord, Some(leg), leg_id);
            self.close(leg_id);
        }
        self.pdus_on(cord, None, id);
        self.close(id);
    }

    fn pdus_on(&mut self, cord: Id<Cord>, leg: Option<u32>, feeder: ElementId) {
        if self.children.cord_pdus.is_empty() {
            return;
        }
        let fed = self.children.cord_pdus.remove(&(cord, leg));
        for pdu in fed.into_iter().flatten() {
            self.pdu(pdu, feeder);
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
