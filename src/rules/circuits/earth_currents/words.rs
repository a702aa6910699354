//! How a sum of earth currents comes about, and why a missing one can be bounded.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::graph::{ElementId, Receiver};
use crate::model::devices::DeviceModel;
use crate::model::value::Id;
use crate::quantity::{InUnits, Quantity, show_rounded};
use crate::tables::constants;
use crate::tables::words::Words;

use super::Sum;

/// The inlets below an element, counted by the model of their device.
fn counted(analysis: &Analysis<'_>, id: ElementId) -> BTreeMap<Id<DeviceModel>, u32> {
    let mut models = BTreeMap::new();
    for below in analysis.graph.below(id) {
        if let Some(&Receiver::Inlet(number)) = analysis.graph.receiver(ElementId(below)) {
            let device = analysis.graph.links.inlets[number as usize].device;
            if let Some(model) = analysis.graph.links.device_models[device.index()] {
                *models.entry(model).or_default() += 1;
            }
        }
    }
    models
}

/// The sum of an element by device model, a line each, and the total.
pub fn working(analysis: &Analysis<'_>, id: ElementId, sum: Sum) -> Vec<String> {
    let mut lines = Vec::new();
    for (model, count) in counted(analysis, id) {
        let model = &analysis.model.device_models[model];
        let inlets = if count == 1 { "inlet" } else { "inlets" };
        match model.earth_current.known() {
            Some(each) => lines.push(format!(
                "{count} {inlets} of model {} × {} = {}",
                model.name.value,
                each.show(),
                show_rounded(*each * f64::from(count))
            )),
            None => lines.push(format!(
                "{count} {inlets} of model {}: no current known, left out",
                model.name.value
            )),
        }
    }
    if lines.len() > 1 {
        lines.push(format!("together {}", show_rounded(sum.known)));
    }
    let lines_carried = analysis.graph.conductors_of(id).len();
    if lines_carried > 2 {
        lines.push("phases are added plainly, the safe side: between them part cancels".to_owned());
    }
    lines
}

/// Why a missing figure can be bounded at all.
pub fn bound() -> Option<Citation> {
    constants::equipment_earth_current().map(|limit| limit.citation)
}

/// The bound in words, for advice and working.
pub fn bound_line(words: &Words) -> Option<String> {
    let limit = constants::equipment_earth_current()?;
    Some(format!(
        "equipment without a label for high {} current may leak up to {:.1} mA an inlet",
        words.earth,
        limit.value.in_milliamperes()
    ))
}
