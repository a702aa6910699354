//! Inrush along the conductors.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::graph::{ElementId, Receiver};
use crate::model::circuits::Pole;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::Id;
use crate::quantity::{Current, InUnits, Quantity, show_rounded};

/// What a conductor sees when it is switched on.
#[derive(Clone, Copy, Default)]
pub(super) struct Peak {
    /// Sum of the inlets with a figure.
    pub known: Current,
    /// Inlets without a figure.
    pub missing: u32,
    /// Those of them with one that cannot be read.
    pub unreadable: u32,
}

/// The peaks of all conductors, added as plain numbers.
pub(super) struct Peaks(Vec<Peak>);

impl Peaks {
    /// Adds up once for the whole site.
    pub(super) fn new(analysis: &Analysis<'_>) -> Self {
        let graph = analysis.graph;
        let mut peaks = vec![Peak::default(); graph.conductors().len()];
        for link in &graph.links.inlets {
            let (Some(by), Some(model)) = (
                graph.feeding(link),
                graph.device_model(analysis.model, link.device),
            ) else {
                continue;
            };
            for at in graph.conductors_of(by) {
                match of(model) {
                    Some(inrush) => peaks[at].known += inrush,
                    None => peaks[at].missing += 1,
                }
                peaks[at].unreadable += u32::from(model.inrush.written().is_err());
            }
        }
        // Conductors of a feeder stand before those of what it feeds.
        for at in (0..peaks.len()).rev() {
            if let Some(feeder) = graph.conductors()[at].feeder {
                let own = peaks[at];
                let sum = &mut peaks[feeder as usize];
                sum.known += own.known;
                sum.missing += own.missing;
                sum.unreadable += own.unreadable;
            }
        }
        Self(peaks)
    }

    /// The line conductors with what they see, the one first that sees the most; none below which no inrush is
    /// written.
    pub(super) fn lines(&self, analysis: &Analysis<'_>, id: ElementId) -> Vec<(Pole, Peak)> {
        let conductors = analysis.graph.conductors();
        let lines = analysis
            .graph
            .conductors_of(id)
            .filter(|&at| conductors[at].pole != Pole::N);
        let all = lines.map(|at| (conductors[at].pole, self.0[at]));
        let written =
            all.filter(|(_, peak)| peak.known > Current::default() || peak.unreadable > 0);
        let mut written: Vec<(Pole, Peak)> = written.collect();
        // Of equal ones the last.
        written.reverse();
        written.sort_by(|(_, a), (_, b)| b.known.in_amperes().total_cmp(&a.known.in_amperes()));
        written
    }
}

/// The inrush of each inlet of a model, if it is known.
pub(super) fn of(model: &DeviceModel) -> Option<Current> {
    let inrush = model.inrush.written().ok()??;
    Some(inrush.value)
}

/// The devices that have an inlet on a pole of an element, once for each such inlet, with their models.
pub(super) fn on_pole(
    analysis: &Analysis<'_>,
    id: ElementId,
    pole: Pole,
) -> impl Iterator<Item = (Id<DeviceModel>, Id<Device>)> {
    let graph = analysis.graph;
    graph.below(id).map(ElementId).filter_map(move |below| {
        let Some(&Receiver::Inlet(number)) = graph.receiver(below) else {
            return None;
        };
        graph.conductor(below, pole)?;
        let device = graph.links.inlets[number as usize].device;
        Some((graph.links.device_models[device.index()]?, device))
    })
}

/// The inlets on a pole of an element, counted by the model of their device.
fn counted(analysis: &Analysis<'_>, id: ElementId, pole: Pole) -> BTreeMap<Id<DeviceModel>, u32> {
    let mut models = BTreeMap::new();
    for (model, _) in on_pole(analysis, id, pole) {
        *models.entry(model).or_default() += 1;
    }
    models
}

/// The sum by device model, a line each, and the total.
pub(super) fn working(
    analysis: &Analysis<'_>,
    id: ElementId,
    pole: Pole,
    peak: Peak,
) -> Vec<String> {
    let mut lines = Vec::new();
    for (model, count) in counted(analysis, id, pole) {
        let model = &analysis.model.device_models[model];
        let inlets = if count == 1 { "inlet" } else { "inlets" };
        let name = &model.name.value;
        lines.push(match of(model) {
            Some(each) => format!(
                "{count} {inlets} of model {name} × {} = {}",
                each.show(),
                show_rounded(each * f64::from(count))
            ),
            None => format!("{count} {inlets} of model {name}: no inrush known, left out"),
        });
    }
    if lines.len() > 1 {
        lines.push(format!("together {}", show_rounded(peak.known)));
    }
    lines
}
