//! Outlets that nothing is plugged into.

use rustc_hash::FxHashSet;

use crate::analysis::Analysis;
use crate::graph::{Carrier, ElementId, ElementKind, OutletId, Plugged, Receiver};
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
        let on = Carrier::Pdu(self.pdu);
        let outlet = number.map(|number| OutletId { on, number });
        let route = outlet.and_then(|outlet| analysis.route_from(outlet, end));
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
    let plugged = match analysis.graph.kind(child) {
        ElementKind::Cord(cord) => Plugged::Cord(cord),
        ElementKind::Pdu(pdu) => Plugged::Pdu(pdu),
        _ => return None,
    };
    analysis.outlet(links.outlet_above(plugged)?)
}
