//! Within which time a device must open: up to which rating the short times hold, editions of the rules differ.

use crate::analysis::Analysis;
use crate::citation::Cited;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, InUnits, Time, Voltage};
use crate::tables::disconnection::{Circuits, Earthing, max_time};
use crate::tables::editions::ShortTimes;

/// Within which time the device of an element must open where this voltage may be touched; `None` where nothing
/// is asked.
///
/// The short time holds unless all editions that may bind say otherwise. That is no sterner than the other one: no
/// curve that is known here is sure to open within some seconds where it does not open at once.
pub(super) fn longest_time(
    analysis: &Analysis<'_>,
    at: ElementId,
    touch: Voltage,
    rating: Current,
) -> Option<Cited<Time>> {
    let has_sockets = has_sockets(analysis, at);
    let is_short = |times: &ShortTimes| {
        let upto = match has_sockets {
            true => times.sockets,
            false => times.others,
        };
        rating.in_amperes() <= upto.in_amperes() + 1e-6
    };
    let said = analysis.short_times();
    let is_any_short = said.is_empty() || said.iter().any(is_short);
    let circuits = match is_any_short {
        true => Circuits::Short,
        false => Circuits::Other,
    };
    max_time(touch, Earthing::Tn, circuits).cited().cloned()
}

/// Whether the circuit of an element ends in sockets: all do but those whose strips are wired to terminals.
fn has_sockets(analysis: &Analysis<'_>, at: ElementId) -> bool {
    let graph = analysis.graph;
    let circuit = graph.upwards(at).find_map(|at| match graph.kind(at) {
        ElementKind::Circuit(circuit) => Some((at, &analysis.model.circuits[circuit])),
        _ => None,
    });
    let is_wired = |id| match graph.kind(id) {
        ElementKind::Pdu(pdu) => {
            let model = graph.pdu_model(analysis.model, pdu);
            model.is_some_and(|model| model.plug.wired().is_some())
        }
        _ => false,
    };
    circuit.is_none_or(|(at, circuit)| {
        !circuit.receptacle.coupler.is_absent() || !graph.children(at).all(is_wired)
    })
}
