//! Devices whose load is not known: what rests on it stays open, once for each device.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::ElementId;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::{Draft, Rule};

/// The devices met so far, each with the first cord or leg that feeds it.
#[derive(Debug, Default)]
pub struct UnknownLoads(BTreeMap<Id<Device>, ElementId>);

impl UnknownLoads {
    /// Notes that the current of a cord or leg could not be judged.
    pub fn meet(&mut self, analysis: &Analysis<'_>, id: ElementId) {
        let Some(device) = analysis.device_fed_by(id) else {
            return;
        };
        // What is plugged into its device may be what is not known.
        let unknown = match analysis.flows.loads.device(device).basis {
            Err(_) => Some(device),
            Ok(_) => analysis.flows.unknown_below(id),
        };
        if let Some(device) = unknown {
            self.0.entry(device).or_insert(id);
        }
    }

    /// An open finding for each device: what is asked, such as `is a coupler overloaded`, has no
    /// answer.
    pub fn report(
        self,
        analysis: &Analysis<'_>,
        rule: &Rule,
        question: &str,
        basis: impl Fn(ElementId) -> Citation,
        findings: &mut Vec<Finding>,
    ) {
        findings.extend(self.0.into_iter().filter_map(|(device, id)| {
            let own = analysis.load_gap(device);
            let gap = own.or_else(|| analysis.adrift_gap(device))?;
            let name = &analysis.model.devices[device].name.value;
            let headline = format!(
                "{question} on the way to device {name}? Not known: its load"
            );
            let note = format!("not decided: {}", gap.why);
            let draft = Draft::new(rule, headline, gap.span, note, basis(id))
                .wants(gap.fact)
                .above([analysis.hop(id)])
                .about([name.clone()])
                .kind("load")
                .advice("Measure the device and write its `draw`; or write the `rating` of its nameplate and the `power-factor` in its model.");
            Some(draft.finish())
        }));
    }
}
