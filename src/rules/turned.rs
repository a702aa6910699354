//! What is wrong while transfer switches stand on their other inlet.
//!
//! What hangs behind a transfer switch has two ways to a supply. Whatever a rule says of a way (what protects
//! it, what a fault draws there, which poles it has) must hold for both. So the site is judged once more with
//! every switch turned, and what only then is found is told with the switch.

use std::collections::BTreeMap;

use smol_str::SmolStr;

use crate::analysis::{Analysis, Shared};
use crate::finding::{Finding, Level};
use crate::flow::Flows;
use crate::graph::ElementId;
use crate::model::devices::Device;
use crate::model::value::Id;

use super::again::new_beside;

/// What `judge` finds with all switches turned, and `found` does not hold yet; nothing where there are none.
pub(super) fn findings(
    analysis: &Analysis<'_>,
    found: &[Finding],
    judge: impl FnOnce(&Analysis<'_>) -> Vec<Finding>,
) -> Vec<Finding> {
    let Some(graph) = analysis.graph.turned(analysis.model) else {
        return Vec::new();
    };
    let flows = Flows::new(analysis.model, &graph);
    let shared = Shared::default();
    let turned = Analysis {
        graph: &graph,
        flows: &flows,
        shared: &shared,
        ..*analysis
    };
    let switches = switches(&turned);
    let more = new_beside(found, judge(&turned));
    // A note on how things stand now is none on how they might.
    more.filter(|finding| finding.level > Level::Note)
        .filter_map(|finding| told(&turned, finding, &switches))
        .collect()
}

/// By the names of elements and devices: the switch behind which they hang, or which loads them.
fn switches(turned: &Analysis<'_>) -> BTreeMap<SmolStr, Id<Device>> {
    let mut switches = BTreeMap::new();
    for switch in turned.graph.switches() {
        let behind = switch.behind.clone().map(ElementId);
        for id in behind.chain(turned.graph.upwards(switch.on)) {
            switches
                .entry(turned.full_name(id))
                .or_insert(switch.device);
            let fed = turned.device_fed_by(id);
            let fed = fed.map(|device| turned.model.devices[device].name.value.clone());
            if let Some(fed) = fed {
                switches.entry(fed).or_insert(switch.device);
            }
        }
    }
    switches
}

/// The finding with the switch and the inlet that it then stands on; `None` where it has to do with none.
fn told(
    turned: &Analysis<'_>,
    mut finding: Finding,
    switches: &BTreeMap<SmolStr, Id<Device>>,
) -> Option<Finding> {
    let mut names = finding.about.iter().chain(&finding.sufferers);
    let switch = names.find_map(|name| switches.get(name))?;
    let links = &turned.graph.links;
    let inlet = links.switches.get(switch)?.active;
    let inlet = turned.inlet_name(&links.inlets[inlet as usize]);
    finding.headline = format!(
        "with a transfer switch on its inlet {inlet}: {}",
        finding.headline
    );
    finding.remedy.edits.clear();
    Some(finding)
}
