//! The power graph: names resolved to ids, and the tree from every supply down to its cords.
//!
//! Each *element* (supply, circuit, PDU, bank, cord, leg of a splitter) has one feeder, so the
//! graph is a forest; elements stand in pre-order, which makes "everything below" a range of ids.
//! Each element has one to four *conductors*, and each conductor hangs on one conductor of the
//! feeder: currents are summed along conductors, never along elements.

mod ahead;
mod build;
mod fault;
mod line;
mod links;
mod lookup;
mod loss;
mod outlets;
mod part;
mod poles;
mod resolve;
mod rings;
mod switches;

use std::collections::BTreeMap;
use std::ops::Range;

use rustc_hash::FxHashMap;

use crate::budget::{Budget, Work};
use crate::model::Model;
use crate::model::circuits::{Circuit, Pole, Supply};
use crate::model::cords::{Cord, CordType};
use crate::model::devices::{Device, DeviceModel};
use crate::model::flex::Flex;
use crate::model::pdus::{Pdu, PduModel};
use crate::model::value::Id;

pub use ahead::Ahead;
pub use build::Plugged;
pub use fault::LinkFault;
pub use links::{CordEnd, CordFeed, FarEnd, Hop, InletLink, Links, PduFeed, Receiver};
pub use loss::{Dead, Loss};
pub use outlets::{Carrier, OutletId, OutletSlot, OutletTable};
pub use switches::{Switch, SwitchLink, Switches};

/// An element of the power graph, by its place in pre-order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ElementId(pub u32);

impl ElementId {
    /// The index.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// What an element is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ElementKind {
    /// Where the drawing starts.
    Supply(Id<Supply>),
    /// A branch circuit with its breaker, wiring and receptacle.
    Circuit(Id<Circuit>),
    /// A power strip: its plug and lines.
    Pdu(Id<Pdu>),
    /// A bank of a strip, by its place in the model.
    Bank(Id<Pdu>, u32),
    /// A cord; of a splitter, the trunk.
    Cord(Id<Cord>),
    /// A leg of a splitter, by its place in the cord type.
    Leg(Id<Cord>, u32),
}

/// An element with its place in the tree.
#[derive(Clone, Copy, Debug)]
pub struct Element {
    /// What it is.
    pub kind: ElementKind,
    /// What feeds it; `None` for a supply.
    pub feeder: Option<ElementId>,
    /// One past the last element below it.
    end: u32,
    /// Its first conductor.
    first_conductor: u32,
    /// How many conductors it has; none if its poles could not be resolved.
    conductors: u8,
}

/// A conductor of an element.
#[derive(Clone, Copy, Debug)]
pub struct Conductor {
    /// The pole of the supply that it is.
    pub pole: Pole,
    /// The conductor of the feeder it hangs on; `None` at a supply.
    pub feeder: Option<u32>,
}

/// Something that is no element, though it loads one.
#[derive(Clone, Copy, Debug)]
pub struct CutOff {
    /// The strip or cord.
    pub what: Plugged,
    /// What feeds it, or may feed it.
    pub feeder: ElementId,
    /// A device behind it, whose load is in no sum.
    pub device: Option<Id<Device>>,
}

/// The site as a power graph.
#[derive(Clone, Debug, Default)]
pub struct Graph {
    /// Which thing refers to which, by ids.
    pub links: Links,
    /// References that lead nowhere, double bookings, loops.
    pub faults: Vec<LinkFault>,
    /// What stands at the end of a row of strips, and devices that pass power on, that is longer than the
    /// budget allows.
    pub cut: Vec<CutOff>,
    /// What is plugged into outlets of which nobody can tell what they are connected to; once for everything
    /// that may feed it.
    pub adrift: Vec<CutOff>,
    elements: Vec<Element>,
    conductors: Vec<Conductor>,
    supplies: Vec<Option<ElementId>>,
    circuits: Vec<Option<ElementId>>,
    pdus: Vec<Option<ElementId>>,
    cords: Vec<Option<ElementId>>,
    /// Of each feed that several supplies make: its first supply, and one past what hangs on its last.
    feed_ends: BTreeMap<ElementId, u32>,
    /// The legs of every splitter that hangs on a supply.
    legs: FxHashMap<Id<Cord>, Vec<ElementId>>,
    switches: Switches,
    ahead: Ahead,
    /// Whether every transfer switch stands on its other inlet.
    is_turned: bool,
}

impl Graph {
    /// Resolves all names of `model` and builds the tree.
    pub fn new(model: &Model) -> Self {
        Self::within(model, &Budget::default())
    }

    /// The same with so much work as the budget allows.
    pub fn within(model: &Model, budget: &Budget) -> Self {
        build::build(model, budget.count(Work::Row), switches::Stand::Usual)
    }

    /// The same with every transfer switch on its other inlet; `None` where there is none that can be.
    pub fn turned(&self, model: &Model) -> Option<Self> {
        let can_be = self.switches().iter().any(|switch| switch.other.is_some());
        let row = Budget::default().count(Work::Row);
        can_be.then(|| build::build(model, row, switches::Stand::Turned))
    }

    /// Whether every transfer switch stands on its other inlet.
    pub fn is_turned(&self) -> bool {
        self.is_turned
    }

    /// All elements, feeders before what they feed.
    pub fn elements(&self) -> impl ExactSizeIterator<Item = (ElementId, &Element)> {
        self.elements
            .iter()
            .enumerate()
            .map(|(index, element)| (ElementId(index as u32), element))
    }

    /// An element.
    pub fn element(&self, id: ElementId) -> &Element {
        &self.elements[id.index()]
    }

    /// What an element is.
    pub fn kind(&self, id: ElementId) -> ElementKind {
        self.elements[id.index()].kind
    }

    /// How many elements there are.
    pub fn len(&self) -> usize {
        self.elements.len()
    }

    /// Whether nothing hangs on any supply.
    pub fn is_empty(&self) -> bool {
        self.elements.is_empty()
    }

    /// The element and all elements below it, as a range of ids.
    pub fn below(&self, id: ElementId) -> Range<u32> {
        id.0..self.elements[id.index()].end
    }

    /// The elements that hang directly on an element.
    pub fn children(&self, id: ElementId) -> impl Iterator<Item = ElementId> + '_ {
        let end = self.elements[id.index()].end;
        let first = (id.0 + 1 < end).then_some(id.0 + 1);
        let next = move |at: &u32| Some(self.elements[*at as usize].end).filter(|next| *next < end);
        std::iter::successors(first, next).map(ElementId)
    }

    /// Whether `lower` is `upper` or hangs below it.
    pub fn is_below(&self, lower: ElementId, upper: ElementId) -> bool {
        self.below(upper).contains(&lower.0)
    }

    /// Ids of an element's conductors; empty if its poles could not be resolved.
    pub fn conductors_of(&self, id: ElementId) -> Range<usize> {
        let element = &self.elements[id.index()];
        let first = element.first_conductor as usize;
        first..first + element.conductors as usize
    }

    /// Ids of the conductors of the element and of all elements below it.
    pub fn conductors_below(&self, id: ElementId) -> Range<usize> {
        let end = self.elements.get(self.below(id).end as usize);
        let end = end.map_or(self.conductors.len(), |next| next.first_conductor as usize);
        self.elements[id.index()].first_conductor as usize..end
    }

    /// All conductors; those of a feeder stand before those of what it feeds.
    pub fn conductors(&self) -> &[Conductor] {
        &self.conductors
    }

    /// The poles of an element's conductors.
    pub fn poles(&self, id: ElementId) -> impl Iterator<Item = Pole> + '_ {
        self.conductors[self.conductors_of(id)]
            .iter()
            .map(|conductor| conductor.pole)
    }

    /// The conductor of an element that is `pole`.
    pub fn conductor(&self, id: ElementId, pole: Pole) -> Option<usize> {
        self.conductors_of(id)
            .find(|&conductor| self.conductors[conductor].pole == pole)
    }

    /// The element and its feeders, from the supply down to the element itself.
    pub fn path(&self, id: ElementId) -> Vec<ElementId> {
        let mut path: Vec<ElementId> = self.upwards(id).collect();
        path.reverse();
        path
    }

    /// The element and its feeders, from the element up to the supply.
    pub fn upwards(&self, id: ElementId) -> impl Iterator<Item = ElementId> + '_ {
        std::iter::successors(Some(id), |&at| self.elements[at.index()].feeder)
    }

    /// Where on its path a cord or leg loses the two poles that it should have: the uppermost element that
    /// has none; `None` where it has them.
    pub fn loses_its_poles(&self, id: ElementId) -> Option<ElementId> {
        let is_bare = |at: &ElementId| self.conductors_of(*at).is_empty();
        self.upwards(id).take_while(is_bare).last()
    }

    /// Whether a finding at the poles says that what hangs on such an element is judged no further. Nobody
    /// does where a supply is not described, or a cord hangs on more or fewer poles than two.
    pub fn is_told_of_poles(&self, bare: ElementId) -> bool {
        matches!(
            self.kind(bare),
            ElementKind::Circuit(_) | ElementKind::Pdu(_) | ElementKind::Bank(..)
        )
    }

    /// The supply at the head of an element's path.
    pub fn supply_of(&self, id: ElementId) -> Option<Id<Supply>> {
        self.upwards(id).find_map(|at| match self.kind(at) {
            ElementKind::Supply(supply) => Some(supply),
            _ => None,
        })
    }

    /// The circuit on an element's path.
    pub fn circuit_of(&self, id: ElementId) -> Option<Id<Circuit>> {
        self.upwards(id).find_map(|at| match self.kind(at) {
            ElementKind::Circuit(circuit) => Some(circuit),
            _ => None,
        })
    }

    /// The nearest PDU on an element's path.
    pub fn pdu_of(&self, id: ElementId) -> Option<Id<Pdu>> {
        self.upwards(id).find_map(|at| match self.kind(at) {
            ElementKind::Pdu(pdu) => Some(pdu),
            _ => None,
        })
    }

    /// The element of a supply.
    pub fn supply(&self, id: Id<Supply>) -> Option<ElementId> {
        self.supplies[id.index()]
    }

    /// The element of a circuit; `None` if it hangs on no supply.
    pub fn circuit(&self, id: Id<Circuit>) -> Option<ElementId> {
        self.circuits[id.index()]
    }

    /// The element of a PDU; `None` if no supply feeds it.
    pub fn pdu(&self, id: Id<Pdu>) -> Option<ElementId> {
        self.pdus[id.index()]
    }

    /// The element of a cord; `None` if no supply feeds it.
    pub fn cord(&self, id: Id<Cord>) -> Option<ElementId> {
        self.cords[id.index()]
    }

    /// The element of a leg of a splitter.
    pub fn leg(&self, cord: Id<Cord>, leg: u32) -> Option<ElementId> {
        self.legs.get(&cord)?.get(leg as usize).copied()
    }

    /// The element that feeds an inlet: a cord, or a leg of a splitter.
    pub fn feeding(&self, inlet: &InletLink) -> Option<ElementId> {
        let (cord, leg) = inlet.fed_by?;
        match leg {
            None => self.cord(cord),
            Some(leg) => self.leg(cord, leg),
        }
    }

    /// The element that what is plugged into an outlet of a device hangs on.
    pub fn end_behind(&self, device: Id<Device>, outlet: u32) -> Option<ElementId> {
        let inlet = self.links.inlet_behind(device, outlet)?;
        self.feeding(&self.links.inlets[inlet as usize])
    }

    /// The inlets fed by an element, if it is a cord or a leg.
    pub fn receiver(&self, id: ElementId) -> Option<&Receiver> {
        let end = match self.kind(id) {
            ElementKind::Cord(cord) => self.links.cord_end(cord, None),
            ElementKind::Leg(cord, leg) => self.links.cord_end(cord, Some(leg)),
            _ => None,
        };
        end.map(|end| &end.at)
    }

    /// Whether an element is plugged into an outlet of a transfer switch.
    pub(crate) fn is_switched(&self, id: ElementId) -> bool {
        let outlet = match self.kind(id) {
            ElementKind::Cord(cord) => self.links.outlet_above(Plugged::Cord(cord)),
            ElementKind::Pdu(pdu) => self.links.outlet_above(Plugged::Pdu(pdu)),
            _ => None,
        };
        outlet.is_some_and(|outlet| self.links.is_switched(outlet))
    }

    /// The model of a PDU, if it is known.
    pub fn pdu_model<'m>(&self, model: &'m Model, pdu: Id<Pdu>) -> Option<&'m PduModel> {
        Some(&model.pdu_models[self.links.pdu_models[pdu.index()]?].item)
    }

    /// Whether a strip has no input cord at all: its model gives none, and it is wired in, or a cord of the site,
    /// which stands for itself, leads to it.
    pub fn is_without_input_cord(&self, model: &Model, pdu: Id<Pdu>) -> bool {
        let is_corded = matches!(self.links.pdu_feeds[pdu.index()], Some(PduFeed::Cord(..)));
        let model = self.pdu_model(model, pdu);
        model.is_some_and(|model| {
            model.cord.is_absent() && (is_corded || model.plug.wired().is_some())
        })
    }

    /// The flexible cord that an element is: a cord or leg, or the input cord of a strip; `None` where it is none, or
    /// its type or model is not known.
    pub fn flex<'m>(&self, model: &'m Model, kind: ElementKind) -> Option<Flex<'m>> {
        match kind {
            ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => None,
            ElementKind::Pdu(pdu) => Some(self.pdu_model(model, pdu)?.cord.known()?.flex()),
            ElementKind::Cord(cord) => {
                let kind = self.cord_type(model, cord)?;
                Some(Flex::of_cord(&model.cords[cord], kind))
            }
            ElementKind::Leg(cord, leg) => {
                let kind = self.cord_type(model, cord)?;
                Some(kind.flex_of(kind.leg(leg)?))
            }
        }
    }

    /// Whether an element is an adapter, or a leg of one, which has no cord and so no conductors to speak of.
    pub fn is_adapter(&self, model: &Model, kind: ElementKind) -> bool {
        match kind {
            ElementKind::Cord(cord) => {
                let kind = self.cord_type(model, cord);
                kind.is_some_and(CordType::is_adapter)
            }
            ElementKind::Leg(cord, leg) => {
                let kind = self.cord_type(model, cord);
                let kind = kind.filter(|kind| kind.is_adapter());
                let leg = kind.and_then(|kind| kind.leg(leg));
                leg.is_some_and(|leg| {
                    leg.length.is_absent() && leg.conductor.as_written().is_none()
                })
            }
            _ => false,
        }
    }

    /// The model of a device, if it is known.
    pub fn device_model<'m>(
        &self,
        model: &'m Model,
        device: Id<Device>,
    ) -> Option<&'m DeviceModel> {
        Some(&model.device_models[self.links.device_models[device.index()]?].item)
    }

    /// The type of a cord, if it is known.
    pub fn cord_type<'m>(&self, model: &'m Model, cord: Id<Cord>) -> Option<&'m CordType> {
        Some(&model.cord_types[self.links.cord_types[cord.index()]?].item)
    }
}
