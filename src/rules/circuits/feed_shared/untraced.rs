//! Things whose feed is not known: the paths of all inlets below them cannot be compared.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::{CordFeed, InletLink, PduFeed};
use crate::model::circuits::Circuit;
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Name, Spanned};
use crate::rules::Draft;
use crate::rules::circuits::redundancy::Claim;

use super::RULE;

/// A thing of which nobody knows what feeds it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Orphan {
    Circuit(Id<Circuit>),
    Pdu(Id<Pdu>),
    Cord(Id<Cord>),
}

impl Orphan {
    fn fact(self, analysis: &Analysis<'_>) -> Fact {
        let model = analysis.model;
        match self {
            Self::Circuit(id) => {
                Fact::of(&model.circuits[id], "from", Some(&model.circuits[id].from))
            }
            Self::Pdu(id) => Fact::of(&model.pdus[id], "from", Some(&model.pdus[id].from)),
            Self::Cord(id) => Fact::of(&model.cords[id], "from", Some(&model.cords[id].from)),
        }
    }

    fn named<'a>(self, analysis: &Analysis<'a>) -> (&'static str, &'a Spanned<Name>) {
        let model = analysis.model;
        match self {
            Self::Circuit(circuit) => ("circuit", &model.circuits[circuit].name),
            Self::Pdu(pdu) => ("PDU", &model.pdus[pdu].name),
            Self::Cord(cord) => ("cord", &model.cords[cord].name),
        }
    }
}

/// Such things, each with the first redundant device that hangs on it.
#[derive(Default)]
pub(super) struct Untraced {
    found: BTreeMap<Orphan, Id<Device>>,
    /// What was found above strips: a row of them is walked once.
    above: FxHashMap<Id<Pdu>, Option<Orphan>>,
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
    fn above(&mut self, analysis: &Analysis<'_>, mut cord: Id<Cord>) -> Option<Orphan> {
        let links = &analysis.graph.links;
        let mut walked = Vec::new();
        let found = 'walk: loop {
            let mut pdu = match links.cord_feeds[cord.index()] {
                None => break Some(Orphan::Cord(cord)),
                Some(CordFeed::Receptacle(circuit)) => break orphan_circuit(analysis, circuit),
                Some(CordFeed::Outlet(pdu, _)) => pdu,
            };
            loop {
                if let Some(known) = self.above.get(&pdu) {
                    break 'walk *known;
                }
                // Met again on this walk it is a ring.
                self.above.insert(pdu, None);
                walked.push(pdu);
                match links.pdu_feeds[pdu.index()] {
                    None => break 'walk Some(Orphan::Pdu(pdu)),
                    Some(PduFeed::Circuit(circuit)) => {
                        break 'walk orphan_circuit(analysis, circuit);
                    }
                    Some(PduFeed::Outlet(upper, _)) => pdu = upper,
                    Some(PduFeed::Cord(upper, _)) => {
                        cord = upper;
                        break;
                    }
                }
            }
        };
        let walked = walked.into_iter().map(|pdu| (pdu, found));
        self.above.extend(walked);
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

fn orphan_circuit(analysis: &Analysis<'_>, circuit: Id<Circuit>) -> Option<Orphan> {
    let supply = analysis.graph.links.circuit_supplies[circuit.index()];
    supply.is_none().then_some(Orphan::Circuit(circuit))
}

fn finding(analysis: &Analysis<'_>, orphan: Orphan, device: Id<Device>) -> Finding {
    let (what, name) = orphan.named(analysis);
    let device = &analysis.model.devices[device].name;
    let headline = format!(
        "can one fault stop device {}? Missing: what feeds {what} {}, so its paths cannot be compared",
        device.value, name.value
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
