//! The plugs that are on record for each circuit.

use std::collections::BTreeMap;

use crate::analysis::{Analysis, field_or_name, place};
use crate::finding::Place;
use crate::graph::{CordFeed, PduFeed, Receiver};
use crate::model::circuits::Circuit;
use crate::model::value::{Field, Id, Name, Named};

/// A plug: of a cord, or of a PDU's own input cord.
pub(super) struct Plug<'a> {
    what: &'static str,
    pub name: &'a Name,
    at: Place,
}

impl<'a> Plug<'a> {
    fn of<T, F>(what: &'static str, item: &'a Named<T>, from: &Field<F>) -> Self {
        let name = &item.name.value;
        let span = field_or_name(from, &item.name);
        let at = place(span, format!("{what} {name} is plugged in here"));
        Self { what, name, at }
    }

    /// `PDU ph-1-a`
    pub fn label(&self) -> String {
        format!("{} {}", self.what, self.name)
    }

    pub fn place(&self) -> Place {
        self.at.clone()
    }
}

/// The circuits with more than one plug, and what is plugged in: PDUs first, each in their order.
pub(super) fn crowded<'a>(analysis: &Analysis<'a>) -> BTreeMap<Id<Circuit>, Vec<Plug<'a>>> {
    let mut counts = vec![0_u32; analysis.model.circuits.len()];
    each(analysis, |circuit, _| counts[circuit.index()] += 1);
    let mut crowded = BTreeMap::<_, Vec<_>>::new();
    if counts.iter().any(|count| *count > 1) {
        each(analysis, |circuit, plug| {
            if counts[circuit.index()] > 1 {
                crowded.entry(circuit).or_default().push(plug());
            }
        });
    }
    crowded
}

/// Shows every plug that is on record for a circuit.
fn each<'a>(analysis: &Analysis<'a>, mut show: impl FnMut(Id<Circuit>, &dyn Fn() -> Plug<'a>)) {
    let (model, links) = (analysis.model, &analysis.graph.links);
    // A PDU that a cord leads to as well is fed twice, which is a fault of its own.
    let mut is_led_to = vec![false; model.pdus.len()];
    let cords = || model.cords.iter();
    for end in cords().flat_map(|(cord, _)| links.cord_ends(cord)) {
        if let Receiver::Pdu(pdu) = end.at {
            is_led_to[pdu.index()] = true;
        }
    }
    let is_wired = |pdu| {
        let kind = analysis.graph.pdu_model(model, pdu);
        kind.is_some_and(|kind| kind.plug.wired().is_some())
    };
    for (pdu, item) in model.pdus.iter() {
        if let Some(PduFeed::Circuit(circuit)) = links.pdu_feeds[pdu.index()]
            && !is_led_to[pdu.index()]
            && !is_wired(pdu)
        {
            show(circuit, &|| Plug::of("PDU", item, &item.from));
        }
    }
    for (cord, item) in cords() {
        if let Some(CordFeed::Receptacle(circuit)) = links.cord_feeds[cord.index()] {
            show(circuit, &|| Plug::of("cord", item, &item.from));
        }
    }
}
