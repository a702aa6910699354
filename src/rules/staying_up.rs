//! What a device would overload if it did not stop.
//!
//! A device that is recorded to need more inlets than a loss leaves it counts as stopped then, and its
//! load is gone. If the record is wrong by one, the load is on what is left. So the site is judged once
//! more as if nothing stopped: what only then is broken is told as a warning.

use std::collections::{BTreeMap, BTreeSet};

use smol_str::SmolStr;

use crate::analysis::{Analysis, Shared, field_or_name, place};
use crate::finding::{Finding, Level, Verdict};
use crate::flow::Flows;
use crate::model::devices::Device;
use crate::model::value::Id;

use super::again::new_beside;

/// The devices that stop, though some of their inlets stay fed: normally, or after a single loss.
fn stopping(analysis: &Analysis<'_>) -> Vec<Id<Device>> {
    let devices = analysis.model.devices.iter().map(|(device, _)| device);
    devices.filter(|device| stops(analysis, *device)).collect()
}

fn stops(analysis: &Analysis<'_>, device: Id<Device>) -> bool {
    let needed = analysis.flows.loads.device(device).needed as usize;
    if needed < 2 {
        return false;
    }
    let graph = analysis.graph;
    let inlets = graph.links.inlets_of(device);
    let feeding: Vec<_> = inlets
        .filter_map(|(_, inlet)| graph.feeding(inlet))
        .collect();
    let losses = feeding.iter().flat_map(|id| graph.losses_of(*id));
    let left = losses.map(|lost| {
        let dead = feeding.iter().filter(|id| graph.is_dead_after(**id, lost));
        feeding.len() - dead.count()
    });
    let mut left = left.chain([feeding.len()]);
    left.any(|left| (1..needed).contains(&left))
}

/// What `judge` finds as if no device stopped, and `found` does not hold yet; nothing where none stops.
pub(super) fn findings(
    analysis: &Analysis<'_>,
    found: &[Finding],
    judge: impl FnOnce(&Analysis<'_>) -> Vec<Finding>,
) -> Vec<Finding> {
    let stopping = stopping(analysis);
    if stopping.is_empty() {
        return Vec::new();
    }
    let flows = Flows::if_nothing_stops(analysis.model, analysis.graph);
    let shared = Shared::default();
    let going_on = Analysis {
        flows: &flows,
        shared: &shared,
        ..*analysis
    };
    let hangs_on = hangs_on(analysis, &stopping);
    let more = new_beside(found, judge(&going_on));
    more.filter(|finding| finding.verdict == Verdict::Broken)
        .filter_map(|finding| doubtful(analysis, finding, &hangs_on))
        .collect()
}

/// By the names of elements and devices: the stopping devices that hang on them.
fn hangs_on(
    analysis: &Analysis<'_>,
    stopping: &[Id<Device>],
) -> BTreeMap<SmolStr, BTreeSet<Id<Device>>> {
    let mut hangs_on: BTreeMap<SmolStr, BTreeSet<Id<Device>>> = BTreeMap::new();
    for device in stopping {
        let inlets = analysis.graph.links.inlets_of(*device);
        let feeding = inlets.filter_map(|(_, inlet)| analysis.graph.feeding(inlet));
        let hops = feeding.flat_map(|id| analysis.graph.upwards(id));
        let names = hops.map(|hop| analysis.full_name(hop));
        let own = analysis.model.devices[*device].name.value.clone();
        for name in names.chain([own]) {
            hangs_on.entry(name).or_default().insert(*device);
        }
    }
    hangs_on
}

/// The finding as a warning that depends on the record; `None` where no such device is concerned.
fn doubtful(
    analysis: &Analysis<'_>,
    mut finding: Finding,
    hangs_on: &BTreeMap<SmolStr, BTreeSet<Id<Device>>>,
) -> Option<Finding> {
    let names = finding.about.iter().chain(&finding.sufferers);
    let devices: BTreeSet<_> = names
        .filter_map(|name| hangs_on.get(name))
        .flatten()
        .collect();
    let first = **devices.first()?;
    let name = &analysis.model.devices[first].name.value;
    let who = match devices.len() {
        1 => name.to_string(),
        more => format!("{name} (or one of {} more)", more - 1),
    };
    finding.level = finding.level.min(Level::Warning);
    finding.own_level = finding.own_level.min(Level::Warning);
    finding.headline = format!(
        "if {who} does not stop when its record says so: {}",
        finding.headline
    );
    let model = analysis.graph.links.device_models[first.index()];
    let needed = model.map(|model| &analysis.model.device_models[model]);
    finding.path.extend(needed.map(|model| {
        let note = format!("by this, {name} stops, and its load is gone");
        place(field_or_name(&model.inlets_needed, &model.name), note)
    }));
    finding.remedy.edits.clear();
    finding.remedy.advice = format!(
        "Find out from the data sheet, or by a test, whether {name} really stops. If it goes on, correct `inlets-needed`, and: {}",
        finding.remedy.advice
    );
    Some(finding)
}
