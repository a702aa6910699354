//! Cords that look alike: of one type, between an outlet and an inlet that are written once, in the
//! same places. What is in order with one of them is in order with all, so a rule that asks for no
//! more than that judges the first of every kind, and the others only where that one is not in order.

use rustc_hash::FxHashMap;

use crate::graph::{CordFeed, ElementId, ElementKind, Receiver};
use crate::model::circuits::Circuit;
use crate::model::cords::{Cord, CordType};
use crate::model::devices::DeviceModel;
use crate::model::pdus::PduModel;
use crate::model::places::{Rack, Zone};
use crate::model::value::Id;
use crate::source::Span;

use super::Survey;

/// The kinds of all cords of a site.
#[derive(Debug)]
pub(super) struct Kinds {
    of_cords: Vec<u32>,
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
    Zone(Id<Zone>),
    /// In a rack that stands in no known zone.
    Rack(Id<Rack>),
}

impl Kinds {
    pub(super) fn of(survey: &Survey<'_>) -> Self {
        let mut kinds: FxHashMap<Alike, u32> = FxHashMap::default();
        let mut count = 0;
        let mut next = || {
            count += 1;
            count - 1
        };
        let cords = survey.model.cords.iter();
        let of_cords = cords.map(|(cord, _)| match alike(survey, cord) {
            Some(alike) => *kinds.entry(alike).or_insert_with(&mut next),
            None => next(),
        });
        Self {
            of_cords: of_cords.collect(),
            count: count as usize,
        }
    }

    /// Every cord a kind of its own: what is found must be the same.
    pub(super) fn each_its_own(cords: usize) -> Self {
        Self {
            of_cords: (0..cords as u32).collect(),
            count: cords,
        }
    }
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
                (None, Some(zone)) => Whereabouts::Zone(zone),
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
    Some(zone.map_or(Whereabouts::Rack(rack), Whereabouts::Zone))
}

/// An answer for every kind, asked for once.
#[derive(Debug)]
pub struct ByKind<'a, T> {
    kinds: &'a Kinds,
    answers: Vec<Option<T>>,
}

impl<T: Copy> ByKind<'_, T> {
    /// The answer for the kind of a cord; `ask` is asked of the first cord of each.
    pub fn of(&mut self, cord: Id<Cord>, ask: impl FnOnce() -> T) -> T {
        let kind = self.kinds.of_cords[cord.index()];
        *self.answers[kind as usize].get_or_insert_with(ask)
    }
}

impl<'a> Survey<'a> {
    /// A place for what is the same for all cords of a kind.
    pub fn by_kind<T: Copy>(&self) -> ByKind<'a, T> {
        let kinds = self.shared.kinds(self);
        ByKind {
            kinds,
            answers: vec![None; kinds.count],
        }
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
