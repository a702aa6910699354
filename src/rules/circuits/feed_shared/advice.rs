//! Which other path would do.

use crate::analysis::Analysis;
use crate::graph::ElementId;
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::rules::circuits::redundancy::{FedInlet, Loss, feed_of};

pub(super) fn advice(
    analysis: &Analysis<'_>,
    device: Id<Device>,
    inlet: FedInlet,
    shared: Loss<'_>,
) -> String {
    let name = inlet.name(analysis);
    let wanted = inlet.wanted_feed(analysis);
    match (other_pdu(analysis, device, inlet, wanted, shared), wanted) {
        (Some(pdu), _) => format!("Feed {name} from another path, for example from PDU {pdu}."),
        (None, Some(feed)) => format!(
            "Feed {name} from a PDU of feed {feed} that shares nothing with the other inlets."
        ),
        (None, None) => format!(
            "Feed {name} from a PDU whose circuit and supply are not those of the other inlets."
        ),
    }
}

/// Strips of a rack that are looked at: far more than stand in one.
const MOST_TRIED: usize = 100;

/// A strip in the device's rack that what is shared does not feed, on the wanted feed if one is wanted.
fn other_pdu<'a>(
    analysis: &Analysis<'a>,
    device: Id<Device>,
    inlet: FedInlet,
    wanted: Option<&Name>,
    shared: Loss<'_>,
) -> Option<&'a Name> {
    let links = &analysis.graph.links;
    let rack = links.device_racks[device.index()]?;
    let is_free = |at: ElementId| {
        let feed = feed_of(analysis, at);
        let other = analysis.graph.supply_of(at) != analysis.graph.supply_of(inlet.by)
            && (feed.is_none() || feed != feed_of(analysis, inlet.by));
        other && !shared.takes(analysis, at) && (wanted.is_none() || feed == wanted)
    };
    let mut pdus = analysis.pdus_in_rack(rack).iter().take(MOST_TRIED);
    let free = pdus.find(|pdu| analysis.graph.pdu(**pdu).is_some_and(is_free));
    free.map(|pdu| &analysis.model.pdus[*pdu].name.value)
}
