//! Outlets that nothing is plugged into.

use rustc_hash::FxHashSet;

use crate::analysis::Analysis;
use crate::graph::{CordFeed, ElementId, ElementKind, PduFeed, Receiver};
use crate::model::pdus::{Outlet, Pdu};
use crate::model::value::{Id, Name, Named};
use crate::quantity::Length;

/// A free outlet of a PDU.
#[derive(Clone, Copy, Debug)]
pub(super) struct FreeOutlet<'a> {
    pub pdu: Id<Pdu>,
    outlet: &'a Named<Outlet>,
    /// The name of its coupler.
    pub coupler: &'a str,
}

impl FreeOutlet<'_> {
    /// Whether a cord of this length comes from here to its end; if that is not known, it may.
    pub fn is_reached(
        &self,
        analysis: &Analysis<'_>,
        end: Receiver,
        length: Option<Length>,
    ) -> bool {
        let table = analysis.graph.links.outlet_table(self.pdu);
        let number = table.and_then(|table| table.find(&self.outlet.name.value));
        let route = number.and_then(|number| analysis.route_from(self.pdu, number, end));
        match (route, length) {
            (Some(Ok(route)), Some(length)) => route.length() <= length,
            _ => true,
        }
    }

    /// As a cord refers to it: `pdu-a/3`.
    pub fn reference(&self, analysis: &Analysis<'_>) -> String {
        let pdu = &analysis.model.pdus[self.pdu].name.value;
        format!("{pdu}/{}", self.outlet.name.value)
    }
}

/// The free outlets of a bank, in the order of the definitions; none of anything else.
pub(super) fn free_outlets<'a>(analysis: &Analysis<'a>, bank: ElementId) -> Vec<FreeOutlet<'a>> {
    let ElementKind::Bank(pdu, number) = analysis.graph.kind(bank) else {
        return Vec::new();
    };
    let model = analysis.graph.pdu_model(analysis.model, pdu);
    let Some(own) = model.and_then(|model| model.banks.items().get(number as usize)) else {
        return Vec::new();
    };
    let children = analysis.graph.children(bank);
    let taken = children.filter_map(|child| taken_by(analysis, child));
    let taken: FxHashSet<&Name> = taken.map(|outlet| &outlet.name.value).collect();
    let is_free = |outlet: &&Named<Outlet>| !taken.contains(&outlet.name.value);
    let outlets = own.outlets.0.iter().filter(is_free);
    outlets
        .filter_map(|outlet| {
            let coupler = outlet.coupler.known()?.name.as_str();
            Some(FreeOutlet {
                pdu,
                outlet,
                coupler,
            })
        })
        .collect()
}

/// The outlet that something on a bank is plugged into.
fn taken_by<'a>(analysis: &Analysis<'a>, child: ElementId) -> Option<&'a Named<Outlet>> {
    let links = &analysis.graph.links;
    let (pdu, outlet) = match analysis.graph.kind(child) {
        ElementKind::Cord(cord) => match links.cord_feeds[cord.index()]? {
            CordFeed::Outlet(pdu, outlet) => (pdu, outlet),
            CordFeed::Receptacle(_) => return None,
        },
        ElementKind::Pdu(pdu) => match links.pdu_feeds[pdu.index()]? {
            PduFeed::Outlet(pdu, outlet) => (pdu, outlet),
            PduFeed::Circuit(_) | PduFeed::Cord(..) => return None,
        },
        _ => return None,
    };
    analysis.outlet(pdu, outlet)
}
