//! What the runs of conductor and the devices ahead of them are called, and where they stand.

use smol_str::SmolStr;

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Level, Place};
use crate::flow::protection::Device;
use crate::graph::{ElementId, ElementKind};
use crate::model::value::{Name, Spanned};
use crate::quantity::Quantity;
use crate::source::Span;

/// `the wiring of circuit A-1`, `the input cord of PDU pdu-a`, `cord W-1`.
pub(super) fn run(analysis: &Analysis<'_>, id: ElementId) -> String {
    let own = analysis.describe(id);
    match analysis.graph.kind(id) {
        ElementKind::Circuit(_) => format!("the wiring of {own}"),
        ElementKind::Pdu(_) => format!("the input cord of {own}"),
        _ => own,
    }
}

/// The thing that describes a run's conductors: a cord type, a PDU model, a circuit.
pub(super) struct Owner<'a> {
    /// Its kind, for the middle of a sentence.
    pub what: &'static str,
    /// Its name.
    pub name: &'a Spanned<Name>,
}

impl Owner<'_> {
    /// `cord type c13-short`
    pub fn describe(&self) -> String {
        format!("{} {}", self.what, self.name.value)
    }
}

/// Who describes the conductors of an element; the element itself where its type is not known.
pub(super) fn owner<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<Owner<'a>> {
    let links = &analysis.graph.links;
    Some(match analysis.graph.kind(id) {
        ElementKind::Supply(supply) => Owner {
            what: "supply",
            name: &analysis.model.supplies[supply].name,
        },
        ElementKind::Circuit(circuit) => Owner {
            what: "circuit",
            name: &analysis.model.circuits[circuit].name,
        },
        ElementKind::Pdu(pdu) | ElementKind::Bank(pdu, _) => Owner {
            what: "PDU model",
            name: &analysis.model.pdu_models[links.pdu_models[pdu.index()]?].name,
        },
        ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => Owner {
            what: "cord type",
            name: &analysis.model.cord_types[links.cord_types[cord.index()]?].name,
        },
    })
}

/// Who suffers where the one who describes an element's conductors lacks a fact, if many share that
/// one: the cord of the type, the PDU of the model.
pub(super) fn sharer(analysis: &Analysis<'_>, id: ElementId) -> Option<SmolStr> {
    let is_shared = !matches!(
        analysis.graph.kind(id),
        ElementKind::Supply(_) | ElementKind::Circuit(_)
    );
    owner(analysis, id)?;
    is_shared.then(|| analysis.whole(id).clone())
}

/// Where the size of an element's conductors stands, or who should give it.
pub(super) fn conductor_span(analysis: &Analysis<'_>, id: ElementId) -> Span {
    let field = analysis.conductors_of(id).and_then(|own| own.field.span());
    let owner = || owner(analysis, id).map(|owner| owner.name.span);
    field.or_else(owner).unwrap_or(analysis.name(id).span)
}

/// The line to edit for other conductors: of a cord its type, of anything else the size itself.
pub(super) fn choice_span(analysis: &Analysis<'_>, id: ElementId) -> Span {
    match analysis.graph.kind(id) {
        ElementKind::Cord(cord) => analysis.cord_choice(cord),
        _ => conductor_span(analysis, id),
    }
}

/// The size of an element's conductors as a place, with what there is to see.
pub(super) fn conductor_place(analysis: &Analysis<'_>, id: ElementId, note: &str) -> Place {
    let size = analysis
        .conductors_of(id)
        .map_or_else(String::new, |own| format!("{own}"));
    place(conductor_span(analysis, id), format!("{size}{note}"))
}

/// An overcurrent device in the middle of a sentence: `the 10 A breaker of bank B1 of PDU pdu-a`.
pub(super) fn device(analysis: &Analysis<'_>, device: &Device<'_>) -> String {
    let rating = device.breaker.rating.known();
    let rating = rating.map_or_else(String::new, |rating| format!("{} ", rating.show()));
    format!("the {rating}breaker of {}", analysis.describe(device.at))
}

/// An overcurrent device as a place.
pub(super) fn device_place(analysis: &Analysis<'_>, ahead: &Device<'_>) -> Place {
    place(analysis.place_of(ahead.at), device(analysis, ahead))
}

/// A stable name that tells a device apart from others of its kind: of a bank, that of its model, so
/// that a fact that the model lacks is missed once and not for every PDU.
pub(super) fn device_model(analysis: &Analysis<'_>, id: ElementId) -> SmolStr {
    match (analysis.graph.kind(id), owner(analysis, id)) {
        (ElementKind::Bank(..), Some(owner)) => {
            let bank = &analysis.name(id).value;
            SmolStr::from(format!("{}/{bank}", owner.name.value))
        }
        _ => analysis.full_name(id),
    }
}

/// `bank B1 of PDU model strip-16`, `circuit A-1`.
pub(super) fn describe_device_model(analysis: &Analysis<'_>, id: ElementId) -> String {
    match (analysis.graph.kind(id), owner(analysis, id)) {
        (ElementKind::Bank(..), Some(owner)) => {
            format!("bank {} of {}", analysis.name(id).value, owner.describe())
        }
        _ => analysis.describe(id),
    }
}

/// An error where every figure behind it was read; a warning where one is from memory or practice.
pub(super) fn level(basis: &[Citation]) -> Level {
    if basis.iter().all(|citation| citation.confidence.is_firm()) {
        Level::Error
    } else {
        Level::Warning
    }
}
