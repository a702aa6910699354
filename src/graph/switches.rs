//! Transfer switches: which inlet feeds what is plugged into them, and what hangs there instead after a loss.

use std::ops::Range;

use crate::model::Model;
use crate::model::devices::{Device, DeviceModel};
use crate::model::optional::Optional;
use crate::model::transfer::TransferKind;
use crate::model::value::{Id, Name, Spanned};

use super::fault::LinkFault;
use super::links::{Hop, Links};
use super::{Dead, ElementId, ElementKind, Graph, Loss};

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
    /// The number of its other inlet.
    pub other_inlet: u32,
    /// All that is plugged into its switched outlets, and what hangs there.
    pub behind: Range<u32>,
    /// Whether it goes over to its other inlet by itself.
    pub is_by_itself: bool,
    /// Whether it may stand on its other inlet while both are live: somebody may have turned it, or nobody
    /// knows which inlet it prefers.
    pub may_be_turned: bool,
}

impl Switch {
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

/// All switches of a graph whose elements and links are complete, in the order of what they hang on.
pub(super) fn all(model: &Model, graph: &Graph) -> Vec<Switch> {
    let links = graph.links.switches.iter();
    let mut switches: Vec<Switch> = links
        .filter_map(|(device, link)| switch(model, graph, *device, link))
        .collect();
    switches.sort_unstable_by_key(|switch| switch.on);
    switches
}

fn switch(model: &Model, graph: &Graph, device: Id<Device>, link: &SwitchLink) -> Option<Switch> {
    let inlets = &graph.links.inlets;
    let on = graph.feeding(&inlets[link.active as usize])?;
    let hanging = graph.children(on).filter(|child| graph.is_switched(*child));
    let hanging: Vec<ElementId> = hanging.collect();
    // What is switched stands before what is not.
    let end = graph.below(*hanging.last()?).end;
    let transfer = graph
        .device_model(model, device)?
        .transfer
        .written()
        .ok()??;
    let kind = transfer.value.kind.known();
    let is_by_itself = kind != Some(&TransferKind::Manual);
    Some(Switch {
        device,
        on,
        other: graph.feeding(&inlets[link.other as usize]),
        other_inlet: link.other,
        behind: hanging[0].0..end,
        is_by_itself,
        may_be_turned: !is_by_itself || !link.is_settled,
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
    graph.switches.iter().filter_map(ring).collect()
}

impl Graph {
    /// The transfer switches of the site, in the order of what they hang on.
    pub fn switches(&self) -> &[Switch] {
        &self.switches
    }

    /// The transfer switch that a device is.
    pub fn switch_of(&self, device: Id<Device>) -> Option<&Switch> {
        self.links.switches.get(&device)?;
        let mut switches = self.switches.iter();
        switches.find(|switch| switch.device == device)
    }

    /// The switch whose outlets hang on an element.
    pub fn switch_on(&self, on: ElementId) -> Option<&Switch> {
        let at = self.switches.binary_search_by_key(&on, |switch| switch.on);
        Some(&self.switches[at.ok()?])
    }

    /// The transfer switches that an element hangs behind, the nearest first.
    pub fn switches_above(&self, id: ElementId) -> impl Iterator<Item = &Switch> {
        let above = self.upwards(id).filter(|_| !self.switches.is_empty());
        let switches = above.filter_map(|at| self.switch_on(at));
        switches.filter(move |switch| switch.behind.contains(&id.0))
    }

    /// The switches that go over to their other inlet after a loss, by their places in the list.
    pub(super) fn transferred(&self, dead: &Dead, loss: Loss) -> Vec<usize> {
        let within = dead.within();
        let first = self
            .switches
            .partition_point(|switch| switch.on.0 + 1 < within.start);
        let near = self.switches[first..].iter();
        let near = near.take_while(|switch| switch.on.0 < within.end);
        let near: Vec<usize> = (first..).zip(near).map(|(at, _)| at).collect();
        let mut dead = dead.clone();
        // What one saves may feed the other inlet of the next.
        loop {
            let more = near.iter().copied().find(|at| {
                let switch = &self.switches[*at];
                let goes = switch.is_by_itself && dead.contains(self, switch.on)
                    || loss == Loss::Turned(switch.on);
                let other = switch.other.filter(|other| !dead.contains(self, *other));
                goes && other.is_some() && !dead.saved.contains(at)
            });
            match more {
                Some(at) => dead.saved.push(at),
                None => return dead.saved,
            }
        }
    }
}
