//! `unfed-inlet`: is there a cord at every inlet?

mod told;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::InletLink;
use crate::model::devices::Device;
use crate::model::value::{Field, Id};
use crate::rules::rule;
use told::{dead, not_decided, one_less, used_after_all};

rule!(
    "unfed-inlet",
    Records,
    Warning up to Error,
    "An inlet without a cord: the device is dead, or runs on one supply where two were bought."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut undecided = Vec::new();
    for (device, item) in analysis.model.devices.iter() {
        let inlets = analysis.graph.links.inlets_of(device);
        let (mut fed, mut bare) = (0, Vec::new());
        for (_, inlet) in inlets {
            let unused = unused(analysis, item, inlet);
            match (inlet.fed_by, unused.is_absent()) {
                (Some(_), true) => fed += 1,
                (Some((cord, _)), false) => {
                    fed += 1;
                    findings.push(used_after_all(
                        analysis,
                        inlet,
                        unused,
                        analysis.model.cords[cord].name.span,
                    ));
                }
                (None, true) => bare.push(inlet),
                (None, false) => {}
            }
        }
        if analysis.model.is_incomplete {
            undecided.extend(bare);
        } else if !bare.is_empty() {
            say(analysis, device, &bare, fed, findings);
        }
    }
    if let Some(first) = undecided.first() {
        findings.push(not_decided(analysis, first, undecided.len()));
    }
}

/// What the device says of an inlet's disuse.
fn unused<'a>(
    analysis: &Analysis<'a>,
    device: &'a Device,
    inlet: &InletLink,
) -> &'a Field<crate::model::value::Name> {
    static SILENT: Field<crate::model::value::Name> = Field::Absent;
    if device.inlets.is_empty() {
        return &SILENT;
    }
    let model = analysis.graph.device_model(analysis.model, inlet.device);
    let own = model.and_then(|model| model.inlets.items().get(inlet.inlet as usize));
    own.and_then(|own| device.inlets.named(&own.name.value))
        .map_or(&SILENT, |(_, own)| &own.item.unused)
}

fn say(
    analysis: &Analysis<'_>,
    device: Id<Device>,
    bare: &[&InletLink],
    fed: u32,
    findings: &mut Vec<Finding>,
) {
    let needed = analysis.flows.loads.device(device).needed;
    if fed < needed {
        return findings.push(dead(analysis, device, bare, fed, needed));
    }
    findings.extend(bare.iter().map(|inlet| one_less(analysis, inlet, fed)));
}
