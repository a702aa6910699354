//! What nothing on record feeds: its load is in no sum, wherever it really hangs.

use crate::ink::short;
use crate::model::value::Name;

use super::Analysis;

/// Strips and devices that no supply feeds by the records.
#[derive(Debug)]
pub struct Unfed<'a> {
    pdus: Vec<&'a Name>,
    devices: Vec<&'a Name>,
}

impl<'a> Analysis<'a> {
    /// What nothing on record feeds. A device counts that has no inlet with power; one that is said to
    /// leave an inlet free is fed by its others.
    pub fn unfed(&self) -> Unfed<'a> {
        let (model, graph) = (self.model, self.graph);
        let pdus = model.pdus.iter();
        let pdus = pdus.filter(|(pdu, _)| graph.pdu(*pdu).is_none());
        let devices = model.devices.iter();
        let devices = devices.filter(|(device, _)| {
            let mut inlets = graph.links.inlets_of(*device);
            inlets.all(|(_, inlet)| graph.feeding(inlet).is_none())
        });
        Unfed {
            pdus: pdus.map(|(_, pdu)| &pdu.name.value).collect(),
            devices: devices.map(|(_, device)| &device.name.value).collect(),
        }
    }
}

/// Names that are given before the others are counted.
const NAMED: usize = 4;

impl Unfed<'_> {
    /// As a sentence; `None` where everything is fed.
    pub fn words(&self) -> Option<String> {
        let of = |what: &str, names: &[&Name]| {
            let shown: Vec<_> = names.iter().take(NAMED).map(|name| short(name)).collect();
            let plural = if names.len() == 1 { "" } else { "s" };
            let more = match names.len().saturating_sub(NAMED) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            let named = !names.is_empty();
            named.then(|| format!("{what}{plural} {}{more}", shown.join(", ")))
        };
        let parts = [of("PDU", &self.pdus), of("device", &self.devices)];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        let are_some = !parts.is_empty();
        are_some.then(|| {
            format!(
                "In no sum: {}. By the records nothing feeds them; whatever they hang on carries more than is said here.",
                parts.join("; ")
            )
        })
    }
}
