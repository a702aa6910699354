//! Load that a change hangs where nothing is judged, because of a fault that stands already.

use std::collections::{BTreeMap, BTreeSet};

use crate::graph::Hop;
use crate::judgement::Site;
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::value::{Id, Name, Spanned};
use crate::rules::Hung;

/// Where the way of the power to a thing begins, though no supply is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Root(Hop);

/// What a root is called, in both states.
type Called<'s> = (&'static str, &'s Name);

/// Devices that hang, by `now`, on what no supply fed in the earlier state either, and did not then.
/// What the change itself cuts off is a new fault where that is.
pub(super) fn hung(now: &Site, before: &Site) -> Vec<Hung> {
    let (hang_now, hung_then) = (hanging(now), hanging(before));
    let mut hung = Vec::new();
    for (root, devices) in hang_now {
        let called = root.called(now);
        if !was_unfed(before, called) {
            continue;
        }
        let old = hung_then
            .iter()
            .find(|(then, _)| then.called(before) == called);
        let is_new = |device: &&Id<Device>| {
            let name = &now.model.devices[**device].name.value;
            let mut then = old.iter().flat_map(|(_, devices)| devices.iter());
            !then.any(|then| before.model.devices[*then].name.value == *name)
        };
        let new = devices.iter().filter(is_new);
        let new = new.map(|device| now.model.devices[*device].name.value.clone());
        let devices: Vec<Name> = new.collect();
        if !devices.is_empty() {
            hung.push(Hung {
                at: root.name(now).span,
                what: called.0,
                name: called.1.clone(),
                devices,
            });
        }
    }
    hung
}

/// Devices with an inlet whose cord no supply feeds, by where its way begins.
fn hanging(site: &Site) -> BTreeMap<Root, BTreeSet<Id<Device>>> {
    let mut hanging: BTreeMap<Root, BTreeSet<Id<Device>>> = BTreeMap::new();
    for inlet in &site.graph.links.inlets {
        if let Some((cord, _)) = inlet.fed_by
            && site.graph.cord(cord).is_none()
            && let Some(root) = root_of(site, cord)
        {
            hanging.entry(root).or_default().insert(inlet.device);
        }
    }
    hanging
}

/// Steps upwards after which a way leads nowhere but in a ring, of which there is a finding.
const MOST_STEPS: usize = 64;

fn root_of(site: &Site, cord: Id<Cord>) -> Option<Root> {
    let links = &site.graph.links;
    let ways = std::iter::successors(Some(Hop::Cord(cord)), |hop| links.above(*hop));
    let steps = ways.take(MOST_STEPS + 1).enumerate();
    let (step, top) = steps.last()?;
    (step < MOST_STEPS).then_some(Root(top))
}

impl Root {
    fn name(self, site: &Site) -> &Spanned<Name> {
        match self.0 {
            Hop::Circuit(circuit) => &site.model.circuits[circuit].name,
            Hop::Pdu(pdu) => &site.model.pdus[pdu].name,
            Hop::Through(device, _) => &site.model.devices[device].name,
            Hop::Cord(cord) => &site.model.cords[cord].name,
        }
    }

    fn called(self, site: &Site) -> Called<'_> {
        let what = match self.0 {
            Hop::Circuit(_) => "circuit",
            Hop::Pdu(_) => "PDU",
            Hop::Through(..) => "device",
            Hop::Cord(_) => "cord",
        };
        (what, &self.name(site).value)
    }
}

/// Whether a thing was there, and no supply fed it.
fn was_unfed(before: &Site, (what, name): Called<'_>) -> bool {
    let (model, graph) = (&before.model, &before.graph);
    match what {
        "circuit" => model
            .circuits
            .find(name)
            .is_some_and(|id| graph.circuit(id).is_none()),
        "PDU" => model
            .pdus
            .find(name)
            .is_some_and(|id| graph.pdu(id).is_none()),
        "device" => model.devices.find(name).is_some_and(|id| {
            let mut inlets = graph.links.inlets_of(id);
            inlets.any(|(_, inlet)| graph.feeding(inlet).is_none())
        }),
        _ => model
            .cords
            .find(name)
            .is_some_and(|id| graph.cord(id).is_none()),
    }
}
