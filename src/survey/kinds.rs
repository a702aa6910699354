//! Cords that look alike: of one type, between an outlet and an inlet that are written once, in the
//! same places; runs that are alike: of one type and length, behind one element; and devices that are
//! fed alike. What is in order
//! with one of a kind is in order with all, so a rule that asks for no more than they have in common
//! judges the first of every kind, and the others only where that one is not in order.

use std::hash::Hash;

use rustc_hash::FxHashMap;

use crate::graph::{CordFeed, ElementId, ElementKind, Receiver};
use crate::model::circuits::Circuit;
use crate::model::cords::{Cord, CordType};
use crate::model::devices::{Device, DeviceModel};
use crate::model::ingress::Ingress;
use crate::model::pdus::PduModel;
use crate::model::places::{Rack, Zone};
use crate::model::value::{Field, Id};
use crate::source::Span;

use super::Survey;

/// The kinds of all things of one sort, by their index.
#[derive(Debug)]
pub(super) struct Kinds {
    of: Vec<u32>,
    count: usize,
}

/// What the cords of one kind have in common. Not in it, and so nothing that may be asked of a kind:
/// names, lengths, bundles, currents, and what lies above the strip.
#[derive(PartialEq, Eq, Hash)]
struct Alike {
    cord_type: Id<CordType>,
    feed: Option<Feed>,
    inlet: Option<(Id<DeviceModel>, u32, Whereabouts)>,
}

#[derive(PartialEq, Eq, Hash)]
enum Feed {
    /// An outlet of a strip, by where its model writes it.
    Outlet(Id<PduModel>, Span, Whereabouts),
    Receptacle(Id<Circuit>),
}

#[derive(PartialEq, Eq, Hash)]
enum Whereabouts {
    /// In a zone, with the degree of protection of the rack.
    Zone(Id<Zone>, Option<Ingress>),
    /// In a rack that stands in no known zone.
    Rack(Id<Rack>),
}

/// What runs behind one element have in common. The loads are not in it.
#[derive(PartialEq, Eq, Hash)]
struct AlikeRun {
    feeder: ElementId,
    cord_type: Id<CordType>,
    /// The cord's own length bit by bit, where it is not its type's.
    length: Option<u64>,
    /// What it may carry in the air and the bundle that it lies in, bit by bit.
    capacity: Option<u64>,
}

/// What devices have in common that plain cords feed from the same elements. Names, places and
/// loads are not in it.
#[derive(PartialEq, Eq, Hash)]
struct AlikeFed {
    model: Id<DeviceModel>,
    is_critical: Option<bool>,
    feeders: [Option<ElementId>; MOST_INLETS],
}

/// Hardly any device has more; one that does is a kind of its own.
const MOST_INLETS: usize = 4;

impl Kinds {
    /// The kinds of all devices by what feeds them.
    pub(super) fn of_devices(survey: &Survey<'_>) -> Self {
        let devices = survey.model.devices.iter();
        Self::tell_apart(devices.map(|(device, _)| alike_fed(survey, device)))
    }

    /// The kinds of all cords by their looks.
    pub(super) fn of_cords(survey: &Survey<'_>) -> Self {
        let cords = survey.model.cords.iter();
        Self::tell_apart(cords.map(|(cord, _)| alike(survey, cord)))
    }

    /// The kinds of all elements by their conductors.
    pub(super) fn of_runs(survey: &Survey<'_>) -> Self {
        let elements = survey.graph.elements();
        Self::tell_apart(elements.map(|(id, _)| alike_run(survey, id)))
    }

    /// Every thing a kind of its own: what is found must be the same.
    pub(super) fn each_its_own(things: usize) -> Self {
        Self::tell_apart((0..things).map(|_| None::<()>))
    }

    /// What has no key is a kind of its own.
    fn tell_apart<K: Eq + Hash>(keys: impl Iterator<Item = Option<K>>) -> Self {
        let mut kinds: FxHashMap<K, u32> = FxHashMap::default();
        let mut count = 0;
        let mut next = || {
            count += 1;
            count - 1
        };
        let of = keys.map(|key| match key {
            Some(key) => *kinds.entry(key).or_insert_with(&mut next),
            None => next(),
        });
        Self {
            of: of.collect(),
            count: count as usize,
        }
    }
}

/// `None` for devices that differ from their model, and where a cord leads on from an unknown place
/// or is none of their own.
fn alike_fed(survey: &Survey<'_>, device: Id<Device>) -> Option<AlikeFed> {
    let links = &survey.graph.links;
    let item = &survey.model.devices[device].item;
    let mut feeders = [None; MOST_INLETS];
    for (number, (_, inlet)) in links.inlets_of(device).enumerate() {
        let feeder = feeders.get_mut(number)?;
        if inlet.fed_by.is_some() {
            let by = survey.graph.element(survey.graph.feeding(inlet)?);
            matches!(by.kind, ElementKind::Cord(_)).then_some(())?;
            *feeder = Some(by.feeder?);
        }
    }
    let is_critical = match &item.critical {
        Field::Given(critical) => Some(critical.value.0),
        Field::Absent => None,
        Field::Unreadable(_) => return None,
    };
    item.inlets.is_empty().then_some(AlikeFed {
        model: links.device_models[device.index()]?,
        is_critical,
        feeders,
    })
}

/// `None` for all but plain cords whose type, and whose own length where one is given, is known.
fn alike_run(survey: &Survey<'_>, id: ElementId) -> Option<AlikeRun> {
    let element = survey.graph.element(id);
    let ElementKind::Cord(cord) = element.kind else {
        return None;
    };
    let length = match &survey.model.cords[cord].length {
        Field::Given(length) => Some(length.value.value.to_bits()),
        Field::Absent => None,
        Field::Unreadable(_) => return None,
    };
    Some(AlikeRun {
        feeder: element.feeder?,
        cord_type: survey.graph.links.cord_types[cord.index()]?,
        length,
        capacity: survey.capacity(id)?.map(|most| most.value.to_bits()),
    })
}

/// `None` for a cord that is a kind of its own: a splitter, the feed of a strip, a cord that leads
/// nowhere known or stands in no known place.
fn alike(survey: &Survey<'_>, cord: Id<Cord>) -> Option<Alike> {
    let links = &survey.graph.links;
    let feed = match links.cord_feeds[cord.index()] {
        Some(CordFeed::Outlet(pdu, outlet)) => Some(Feed::Outlet(
            links.pdu_models[pdu.index()]?,
            survey.outlet(pdu, outlet)?.body,
            whereabouts(survey, links.pdu_racks[pdu.index()])?,
        )),
        Some(CordFeed::Receptacle(circuit)) => Some(Feed::Receptacle(circuit)),
        None => None,
    };
    let inlet = match links.cord_ends(cord) {
        [] => None,
        [end] if end.leg.is_none() => {
            let Receiver::Inlet(inlet) = end.at else {
                return None;
            };
            let inlet = links.inlets[inlet as usize];
            let device = inlet.device.index();
            let place = match (links.device_racks[device], links.device_zones[device]) {
                (None, Some(zone)) => Whereabouts::Zone(zone, None),
                (rack, _) => whereabouts(survey, rack)?,
            };
            Some((links.device_models[device]?, inlet.inlet, place))
        }
        _ => return None,
    };
    Some(Alike {
        cord_type: links.cord_types[cord.index()]?,
        feed,
        inlet,
    })
}

fn whereabouts(survey: &Survey<'_>, rack: Option<Id<Rack>>) -> Option<Whereabouts> {
    let rack = rack?;
    let zone = survey.graph.links.rack_zones[rack.index()];
    let ip = survey.model.racks[rack].item.ip.copied();
    Some(zone.map_or(Whereabouts::Rack(rack), |zone| Whereabouts::Zone(zone, ip)))
}

/// An answer for every kind, asked for once.
#[derive(Debug)]
pub struct ByKind<'a, T> {
    kinds: &'a Kinds,
    answers: Vec<Option<T>>,
}

impl<'a, T: Copy> ByKind<'a, T> {
    fn new(kinds: &'a Kinds) -> Self {
        Self {
            kinds,
            answers: vec![None; kinds.count],
        }
    }

    /// The answer for the kind of a cord; `ask` is asked of the first cord of each.
    pub fn of(&mut self, cord: Id<Cord>, ask: impl FnOnce() -> T) -> T {
        self.at(cord.index(), ask)
    }

    fn at(&mut self, index: usize, ask: impl FnOnce() -> T) -> T {
        let kind = self.kinds.of[index];
        *self.answers[kind as usize].get_or_insert_with(ask)
    }
}

impl<'a> Survey<'a> {
    /// A place for what is the same for all cords of a kind.
    pub fn by_kind<T: Copy>(&self) -> ByKind<'a, T> {
        ByKind::new(self.shared.cords(self))
    }

    /// The elements whose conductors a rule must judge one by one: all of each kind of which the
    /// first is `odd`, and all other `odd` ones.
    pub fn odd_runs<F: FnMut(ElementId) -> bool>(
        &self,
        mut is_odd: F,
    ) -> impl Iterator<Item = ElementId> + use<'a, F> {
        let mut known = ByKind::new(self.shared.runs(self));
        let elements = self.graph.elements().map(|(id, _)| id);
        elements.filter(move |&id| known.at(id.index(), || is_odd(id)))
    }

    /// The cords that a rule must judge one by one: all of each kind of which the first is `odd`,
    /// in their order.
    pub fn odd_cords<F: FnMut(Id<Cord>) -> bool>(
        &self,
        mut is_odd: F,
    ) -> impl Iterator<Item = Id<Cord>> + use<'a, F> {
        let mut known = self.by_kind();
        let model = self.model;
        let cords = model.cords.iter().map(|(cord, _)| cord);
        cords.filter(move |&cord| known.of(cord, || is_odd(cord)))
    }

    /// The devices whose feeding a rule must judge one by one: all of each kind of which the first is
    /// `odd`, in their order.
    pub fn odd_devices<F: FnMut(Id<Device>) -> bool>(
        &self,
        mut is_odd: F,
    ) -> impl Iterator<Item = Id<Device>> + use<'a, F> {
        let mut known = ByKind::new(self.shared.devices(self));
        let model = self.model;
        let devices = model.devices.iter().map(|(device, _)| device);
        devices.filter(move |&device| known.at(device.index(), || is_odd(device)))
    }

    /// The elements that a rule must judge one by one: as [`Survey::odd_cords`], with all `odd`
    /// elements that are no cords.
    pub fn odd_elements<F: FnMut(ElementId) -> bool>(
        &self,
        mut is_odd: F,
    ) -> impl Iterator<Item = ElementId> + use<'a, F> {
        let mut known = self.by_kind();
        let graph = self.graph;
        let elements = graph.elements();
        let odd = elements.filter(move |(id, element)| match element.kind {
            ElementKind::Cord(cord) => known.of(cord, || is_odd(*id)),
            _ => is_odd(*id),
        });
        odd.map(|(id, _)| id)
    }
}
