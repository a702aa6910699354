//! Cords that may bear on each other: on one strip or circuit, at one device, in one bundle.

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::graph::{Carrier, CordFeed, Receiver};
use crate::model::circuits::Circuit;
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Name};

/// What cords have in common that bear on each other.
#[derive(PartialEq, Eq, Hash)]
enum Common<'a> {
    Strip(Id<Pdu>),
    Circuit(Id<Circuit>),
    Device(Id<Device>),
    Bundle(&'a Name),
}

/// Cords in groups, by their place in the list, so that no two of a group bear on each other.
pub(super) fn apart(analysis: &Analysis<'_>, cords: &[Id<Cord>]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut next_free: FxHashMap<Common<'_>, usize> = FxHashMap::default();
    for (at, &cord) in cords.iter().enumerate() {
        let common = commons(analysis, cord);
        let taken = common.iter().filter_map(|common| next_free.get(common));
        let group = taken.copied().max().unwrap_or(0);
        next_free.extend(common.into_iter().map(|common| (common, group + 1)));
        if groups.len() <= group {
            groups.push(Vec::new());
        }
        groups[group].push(at);
    }
    groups
}

fn commons<'a>(analysis: &Analysis<'a>, cord: Id<Cord>) -> Vec<Common<'a>> {
    let links = &analysis.graph.links;
    let feed = links.line_feed(cord).and_then(|feed| match feed {
        CordFeed::Outlet(outlet) => Some(match outlet.on {
            Carrier::Pdu(pdu) => Common::Strip(pdu),
            Carrier::Device(device) => Common::Device(device),
        }),
        CordFeed::Receptacle(circuit) => Some(Common::Circuit(circuit)),
        CordFeed::Cord(_) => None,
    });
    // Cords of one line have its two ends in common.
    let ends = links.line_ends(cord);
    let ends = ends.filter_map(|end| match end {
        Receiver::Inlet(number) => Some(Common::Device(analysis.inlet(number)?.0)),
        Receiver::Pdu(pdu) => Some(Common::Strip(pdu)),
        Receiver::Cord(_) | Receiver::Unknown => None,
    });
    let bundle = analysis.model.cords[cord]
        .bundle
        .known()
        .map(Common::Bundle);
    feed.into_iter().chain(ends).chain(bundle).collect()
}
