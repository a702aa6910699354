//! Transfer switches: which inlet feeds what is plugged into them, and what hangs there instead after a loss.

use std::ops::Range;

use rustc_hash::FxHashMap;

use crate::model::Model;
use crate::model::devices::{Device, DeviceModel};
use crate::model::optional::Optional;
use crate::model::transfer::TransferKind;
use crate::model::value::{Id, Name, Spanned};

use super::fault::LinkFault;
use super::links::{Hop, Links};
use super::{ElementId, ElementKind, Graph, Loss};

/// The two inlets of a transfer switch, by their numbers in [`Links::inlets`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SwitchLink {
    /// The one that feeds its outlets in the normal state: the preferred one, if that is fed at all.
    pub active: u32,
    /// The other one.
    pub other: u32,
    /// Whether it is known that it prefers the one that is active.
    is_settled: bool,
}

/// How transfer switches stand while both of their inlets are live.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stand {
    /// On the inlet that each prefers.
    Usual,
    /// On the other.
    Turned,
}

/// A transfer switch whose outlets hang on a supply.
#[derive(Clone, Debug)]
pub struct Switch {
    /// The device that it is.
    pub device: Id<Device>,
    /// The cord or leg that feeds its outlets in the normal state.
    pub on: ElementId,
    /// The cord or leg at its other inlet; `None` where that is not fed.
    pub other: Option<ElementId>,
    /// All that is plugged into its switched outlets, and what hangs there.
    pub behind: Range<u32>,
    /// How it transfers; `None` where nobody can tell.
    pub kind: Option<TransferKind>,
    /// Whether it may stand on its other inlet while both are live: somebody may have turned it, or nobody
    /// knows which inlet it prefers.
    pub may_be_turned: bool,
}

impl Switch {
    /// Whether it goes over to its other inlet by itself. Of one of unknown kind the load moves, as it may.
    pub fn is_by_itself(&self) -> bool {
        self.kind != Some(TransferKind::Manual)
    }

    /// The loss that stands for its other position.
    pub fn turned(&self) -> Option<Loss> {
        let may_be = self.may_be_turned && self.other.is_some();
        may_be.then_some(Loss::Turned(self.on))
    }
}

/// The inlet that a transfer switch prefers, as it is written of the device or of its model.
pub(super) fn preferred<'m>(
    device: &'m Device,
    model: &'m DeviceModel,
) -> Option<&'m Spanned<Name>> {
    let of_model = || {
        let transfer = model.transfer.written().ok()??;
        transfer.value.preferred.written().ok()?
    };
    match &device.preferred {
        Optional::Given(own) => Some(own),
        Optional::Unreadable(_) => None,
        Optional::Absent => of_model(),
    }
}

/// How the inlets of a device that is a transfer switch stand; `None` for every other device.
pub(super) fn link(
    model: &Model,
    links: &Links,
    device: Id<Device>,
    stand: Stand,
) -> Option<SwitchLink> {
    let kind = &model.device_models[links.device_models[device.index()]?];
    let is_switch = kind
        .transfer
        .written()
        .is_ok_and(|transfer| transfer.is_some());
    if !is_switch || kind.inlets.len() != 2 {
        return None;
    }
    let first = links.first_inlet[device.index()];
    let wanted = preferred(&model.devices[device], kind);
    let wanted = wanted.and_then(|name| kind.inlets.named(&name.value));
    let wanted = wanted.map(|(at, _)| at as u32);
    let is_fed = |inlet: u32| links.inlets[(first + inlet) as usize].fed_by.is_some();
    let at = match stand {
        Stand::Usual => wanted.unwrap_or(0),
        Stand::Turned => 1 - wanted.unwrap_or(0),
    };
    let at = if is_fed(at) || !is_fed(1 - at) {
        at
    } else {
        1 - at
    };
    Some(SwitchLink {
        active: first + at,
        other: first + 1 - at,
        is_settled: wanted.is_some(),
    })
}

/// Switches of which each hangs on the one before, in whichever position. Nobody has so many, and each more would
/// double the ways of what hangs behind it (common practice).
const MOST_BEHIND_EACH_OTHER: usize = 4;

/// The transfer switches of a graph.
#[derive(Clone, Debug, Default)]
pub struct Switches {
    /// In the order of what they hang on.
    all: Vec<Switch>,
    /// Their places, by their devices.
    of: FxHashMap<Id<Device>, usize>,
    /// What feeds their other inlets, ascending, with their places.
    by_other: Vec<(ElementId, usize)>,
    /// Those that hang behind too many others, of which the other inlet is not looked at.
    too_deep: Vec<Id<Device>>,
}

impl Switches {
    /// Those of a graph whose elements and links are complete.
    pub(super) fn of(model: &Model, graph: &Graph) -> Self {
        let links = graph.links.switches.iter();
        let mut all: Vec<Switch> = links
            .filter_map(|(device, link)| switch(model, graph, *device, link))
            .collect();
        all.sort_unstable_by_key(|switch| switch.on);
        let devices = all.iter().map(|switch| switch.device).zip(0..);
        Self {
            of: devices.collect(),
            all,
            ..Self::default()
        }
    }

    /// Leaves out the other inlets of those that feed these themselves.
    pub(super) fn part_rings(&mut self) {
        for switch in &mut self.all {
            let own = switch.behind.clone();
            switch.other = switch.other.filter(|other| !own.contains(&other.0));
        }
    }

    /// Leaves out the other inlets of those that hang behind too many others, by how many they are.
    pub(super) fn settle(&mut self, depths: &[usize]) {
        for (switch, depth) in self.all.iter_mut().zip(depths) {
            if *depth > MOST_BEHIND_EACH_OTHER && switch.other.take().is_some() {
                self.too_deep.push(switch.device);
            }
        }
        let others = self.all.iter().zip(0..);
        let others = others.filter_map(|(switch, at)| Some((switch.other?, at)));
        self.by_other = others.collect();
        self.by_other.sort_unstable();
    }
}

/// For each switch how many there are in the longest row that ends with it, each of which hangs on the one before by
/// either inlet; more than [`MOST_BEHIND_EACH_OTHER`] of those in a circle.
pub(super) fn depths(graph: &Graph) -> Vec<usize> {
    let all = graph.switches();
    let mut depths = vec![1; all.len()];
    for _ in 0..MOST_BEHIND_EACH_OTHER {
        let behind = |id: ElementId| {
            let above = graph.switches_above(id).next();
            above.map_or(0, |above| depths[above])
        };
        let deeper = all.iter().map(|switch| {
            let other = switch.other.map_or(0, behind);
            1 + behind(switch.on).max(other)
        });
        depths = deeper.collect();
    }
    depths
}

fn switch(model: &Model, graph: &Graph, device: Id<Device>, link: &SwitchLink) -> Option<Switch> {
    let inlets = &graph.links.inlets;
    let on = graph.feeding(&inlets[link.active as usize])?;
    let mut hanging = graph.children(on).filter(|child| graph.is_switched(*child));
    let first = hanging.next()?;
    // What is switched stands before what is not.
    let last = hanging.last().unwrap_or(first);
    let kind = graph.device_model(model, device)?;
    let kind = kind.transfer.written().ok()??.value.kind.known().copied();
    Some(Switch {
        device,
        on,
        other: graph.feeding(&inlets[link.other as usize]),
        behind: first.0..graph.below(last).end,
        kind,
        may_be_turned: kind == Some(TransferKind::Manual) || !link.is_settled,
    })
}

/// Switches whose other inlet hangs on one of their own outlets.
pub(super) fn rings(graph: &Graph) -> Vec<LinkFault> {
    let links = &graph.links;
    let ring = |switch: &Switch| {
        let other = switch
            .other
            .filter(|other| switch.behind.contains(&other.0))?;
        let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = graph.kind(other) else {
            return None;
        };
        let hops = std::iter::successors(Some(Hop::Cord(cord)), |hop| links.above(*hop));
        let is_own = |hop: &Hop| matches!(hop, Hop::Through(device, _) if *device == switch.device);
        let mut ring: Vec<Hop> = Vec::new();
        for hop in hops {
            ring.push(hop);
            if is_own(&hop) {
                break;
            }
        }
        Some(LinkFault::Loop { ring })
    };
    graph.switches().iter().filter_map(ring).collect()
}

impl Graph {
    /// The transfer switches of the site, in the order of what they hang on.
    pub fn switches(&self) -> &[Switch] {
        &self.switches.all
    }

    /// The place among them of the transfer switch that a device is.
    pub fn switch_of(&self, device: Id<Device>) -> Option<usize> {
        self.switches.of.get(&device).copied()
    }

    /// The place of the switch whose outlets hang on an element.
    pub fn switch_on(&self, on: ElementId) -> Option<usize> {
        let all = self.switches();
        all.binary_search_by_key(&on, |switch| switch.on).ok()
    }

    /// The places of the switches whose other inlets hang among these elements.
    pub fn switches_at(&self, elements: Range<u32>) -> impl Iterator<Item = usize> + '_ {
        let all = &self.switches.by_other;
        let before = |id: u32| all.partition_point(|(other, _)| other.0 < id);
        let here = &all[before(elements.start)..before(elements.end)];
        here.iter().map(|(_, at)| *at)
    }

    /// The places of the transfer switches that an element hangs behind, the nearest first.
    pub fn switches_above(&self, id: ElementId) -> impl Iterator<Item = usize> + '_ {
        let above = self.upwards(id).filter(|_| !self.switches().is_empty());
        let switches = above.filter_map(|at| self.switch_on(at));
        switches.filter(move |at| self.switches()[*at].behind.contains(&id.0))
    }

    /// Transfer switches that hang behind so many others that their other inlet is in no state.
    pub fn switches_too_deep(&self) -> &[Id<Device>] {
        &self.switches.too_deep
    }
}
