//! Things whose feed is not known: the paths of all inlets below them cannot be compared.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::{Carrier, Hop, InletLink, OutletId};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::value::{Id, Name, Spanned};
use crate::rules::Draft;
use crate::rules::circuits::redundancy::Claim;

use super::RULE;

/// A thing of which nobody knows what feeds it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Orphan(Hop);

impl Orphan {
    fn fact(self, analysis: &Analysis<'_>) -> Fact {
        let model = analysis.model;
        match self.0 {
            Hop::Circuit(id) => {
                Fact::of(&model.circuits[id], "from", Some(&model.circuits[id].from))
            }
            Hop::Pdu(id) => Fact::of(&model.pdus[id], "from", Some(&model.pdus[id].from)),
            Hop::Cord(id) => Fact::of(&model.cords[id], "from", Some(&model.cords[id].from)),
            Hop::Through(device, number) => {
                let outlet = OutletId {
                    on: Carrier::Device(device),
                    number,
                };
                let model = analysis.graph.device_model(model, device);
                let inlet = model.map(|model| model.outlets.inlet_of(number as usize));
                analysis.outlet_fact(outlet, "inlet", inlet)
            }
        }
    }

    fn named<'a>(self, analysis: &Analysis<'a>) -> (String, &'a Spanned<Name>) {
        let model = analysis.model;
        let (what, name) = match self.0 {
            Hop::Circuit(circuit) => ("circuit", &model.circuits[circuit].name),
            Hop::Pdu(pdu) => ("PDU", &model.pdus[pdu].name),
            Hop::Through(device, _) => ("the outlets of device", &model.devices[device].name),
            Hop::Cord(cord) => ("cord", &model.cords[cord].name),
        };
        (format!("{what} {}", name.value), name)
    }
}

/// Such things, each with the first redundant device that hangs on it.
#[derive(Default)]
pub(super) struct Untraced {
    found: BTreeMap<Orphan, Id<Device>>,
    /// What was found above things: a row of them is walked once.
    above: FxHashMap<Hop, Option<Orphan>>,
}

impl Untraced {
    /// Notes what is not known about the paths of a device that counts on several.
    pub(super) fn look_at(&mut self, analysis: &Analysis<'_>, device: Id<Device>) {
        for link in untraced(analysis, device) {
            let orphan = link.fed_by.and_then(|(cord, _)| self.above(analysis, cord));
            if let Some(orphan) = orphan
                && Claim::of(analysis, device, &[]).is_redundant()
            {
                self.found.entry(orphan).or_insert(device);
            }
        }
    }

    /// The topmost thing above a cord whose feed is not known; nothing above a ring.
    fn above(&mut self, analysis: &Analysis<'_>, cord: Id<Cord>) -> Option<Orphan> {
        let (mut walked, mut at) = (Vec::new(), Hop::Cord(cord));
        let found = loop {
            if let Some(known) = self.above.get(&at) {
                break *known;
            }
            // Met again on this walk it is a ring.
            self.above.insert(at, None);
            walked.push(at);
            match analysis.graph.links.above(at) {
                Some(above) => at = above,
                None => break orphan(analysis, at),
            }
        };
        self.above
            .extend(walked.into_iter().map(|hop| (hop, found)));
        found
    }

    /// One open point for each thing, however many devices hang on it.
    pub(super) fn report(self, analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
        let each = self.found.into_iter();
        findings.extend(each.map(|(orphan, device)| finding(analysis, orphan, device)));
    }
}

fn untraced<'a>(
    analysis: &Analysis<'a>,
    device: Id<Device>,
) -> impl Iterator<Item = &'a InletLink> {
    let graph = analysis.graph;
    let links = graph.links.inlets_of(device).map(|(_, link)| link);
    links.filter(|link| link.fed_by.is_some() && graph.feeding(link).is_none())
}

/// The topmost thing, if it should hang on something: a circuit may lack its supply. That an inlet has no cord
/// is said of the inlet.
fn orphan(analysis: &Analysis<'_>, top: Hop) -> Option<Orphan> {
    let links = &analysis.graph.links;
    let is_fed = match top {
        Hop::Circuit(circuit) => links.circuit_supplies[circuit.index()].is_some(),
        Hop::Through(device, outlet) => links.inlet_behind(device, outlet).is_some(),
        Hop::Pdu(_) | Hop::Cord(_) => false,
    };
    (!is_fed).then_some(Orphan(top))
}

fn finding(analysis: &Analysis<'_>, orphan: Orphan, device: Id<Device>) -> Finding {
    let (what, name) = orphan.named(analysis);
    let device = &analysis.model.devices[device].name;
    let headline = format!(
        "can one fault stop device {}? Missing: what feeds {what}, so its paths cannot be compared",
        device.value
    );
    let basis = Citation::common_practice("inlets of redundant equipment on independent paths");
    Draft::new(
        &RULE,
        headline,
        name.span,
        "not decided: fed from nowhere that is known",
        basis,
    )
    .wants([orphan.fact(analysis)])
    .below([place(device.span, format!("device {}", device.value))])
    .about([name.value.clone()])
    .advice("Follow it on site, and write what feeds it by a name that is in the definitions.")
    .finish()
}
