//! `single-corded`: does a device that must not fail hang on one path?

use crate::analysis::{Analysis, field_or_name};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::ElementId;
use crate::model::devices::{Device, DeviceModel};
use crate::model::transfer::TransferKind;
use crate::model::value::Named;
use crate::rules::{Draft, rule};

use super::redundancy::{FedInlet, fed_inlets};

rule!(
    "single-corded",
    Circuits,
    Warning,
    "A device that is marked critical and hangs on one path: any loss along it takes the device down."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (device, item) in analysis.model.devices.iter() {
        let critical = item.critical.says_yes();
        if critical == Ok(false) {
            continue;
        }
        if let [only] = fed_inlets(analysis, device)[..] {
            match ways(analysis, only) {
                Ways::Two => continue,
                Ways::Unknown(switch) => {
                    findings.push(not_told(analysis, item, only, switch));
                    continue;
                }
                Ways::One => {}
            }
            let model = analysis.graph.device_model(analysis.model, device);
            let inlets = model.map_or(1, |model| model.inlets.len());
            findings.push(match critical {
                Err(_) => open(analysis, item, only),
                Ok(_) => finding(analysis, item, inlets, only),
            });
        }
    }
}

/// How many ways lead to an inlet.
enum Ways<'a> {
    One,
    /// A transfer switch goes over to a second one by itself.
    Two,
    /// Nobody can tell whether this model of transfer switches does.
    Unknown(&'a Named<DeviceModel>),
}

fn ways<'a>(analysis: &Analysis<'a>, only: FedInlet) -> Ways<'a> {
    let graph = analysis.graph;
    let switches = graph
        .switches_above(only.by)
        .map(|at| &graph.switches()[at]);
    let mut unknown = None;
    for switch in switches.filter(|switch| switch.other.is_some()) {
        match switch.kind {
            Some(TransferKind::Static | TransferKind::Automatic) => return Ways::Two,
            Some(TransferKind::Manual) => {}
            None => unknown = unknown.or(graph.links.device_models[switch.device.index()]),
        }
    }
    let model = unknown.map(|model| &analysis.model.device_models[model]);
    model.map_or(Ways::One, Ways::Unknown)
}

fn finding(
    analysis: &Analysis<'_>,
    device: &Named<Device>,
    inlets: usize,
    only: FedInlet,
) -> Finding {
    let name = &device.name.value;
    let inlet = only.name(analysis);
    let headline = format!(
        "critical device {name} hangs on one path: lose anything along it and {name} stops. Only its inlet {inlet} is fed"
    );
    let path = analysis.describe(path_of(analysis, only));
    let warn = format!("Until then warn those who depend on it before anybody works on {path}.");
    let advice = if inlets > 1 {
        format!("Feed another of its {inlets} inlets from a PDU of another feed. {warn}")
    } else {
        format!(
            "Feed its one inlet through a transfer switch near the device, with both inputs on different feeds. {warn}"
        )
    };
    let basis = Citation::common_practice("critical equipment on two independent paths");
    let at = field_or_name(&device.critical, &device.name);
    Draft::new(&RULE, headline, at, "marked as critical", basis)
        .above(analysis.hops_above(only.by))
        .above([analysis.hop(only.by)])
        .working([only.way(analysis)])
        .about([name.clone()])
        .advice(advice)
        .finish()
}

/// A device behind a transfer switch of which nobody can tell how it transfers.
fn not_told(
    analysis: &Analysis<'_>,
    device: &Named<Device>,
    only: FedInlet,
    switch: &Named<DeviceModel>,
) -> Finding {
    let name = &device.name.value;
    let headline = format!(
        "does {name} go on when its feed is lost? Open: nobody can tell whether transfer switch model {} goes over by itself",
        switch.name.value
    );
    let basis = Citation::common_practice("critical equipment on two independent paths");
    let transfer = switch.transfer.written().ok().flatten();
    let kind = transfer.map(|transfer| &transfer.value.kind);
    let at = field_or_name(&device.critical, &device.name);
    Draft::new(&RULE, headline, at, "not decided: how does the switch transfer?", basis)
        .above([analysis.hop(only.by)])
        .about([name.clone()])
        .kind("kind")
        .advice("Read on the switch, or in its data sheet, whether it transfers by itself, and write `kind: static`, `automatic` or `manual`.")
        .wants(kind.map(|kind| Fact::of(switch, "transfer.kind", Some(kind))))
        .finish()
}

/// A device on one path of which it cannot be read whether it is critical.
fn open(analysis: &Analysis<'_>, device: &Named<Device>, only: FedInlet) -> Finding {
    let name = &device.name.value;
    let headline =
        format!("may device {name} hang on one path? Open: whether it is critical cannot be read");
    let basis = Citation::common_practice("critical equipment on two independent paths");
    let at = field_or_name(&device.critical, &device.name);
    Draft::new(
        &RULE,
        headline,
        at,
        "not decided: `critical` cannot be read",
        basis,
    )
    .above([analysis.hop(only.by)])
    .about([name.clone()])
    .kind("illegible")
    .advice("Write `critical: yes` or `no`.")
    .wants([Fact::of(device, "critical", Some(&device.critical))])
    .finish()
}

/// What to keep alive for the device: its circuit or, without one, its cord.
fn path_of(analysis: &Analysis<'_>, only: FedInlet) -> ElementId {
    let circuit = analysis.graph.circuit_of(only.by);
    let circuit = circuit.and_then(|circuit| analysis.graph.circuit(circuit));
    circuit.unwrap_or(only.by)
}
