//! `unfed-inlet`: is there a cord at every inlet?

mod told;

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{Carrier, InletLink, Plugged};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::rule;
use told::{dead, not_decided, one_less, passes_nothing_on, used_after_all};

rule!(
    "unfed-inlet",
    Records,
    Warning up to Error,
    "An inlet without a cord: the device is dead, or runs on one supply where two were bought."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut undecided, behind) = (Vec::new(), behind(analysis));
    for (device, _) in analysis.model.devices.iter() {
        let inlets = analysis.graph.links.inlets_of(device);
        let (mut fed, mut bare, mut dark) = (0, Vec::new(), Vec::new());
        for (number, inlet) in inlets {
            let plugged = behind.get(&number).map_or(&[][..], Vec::as_slice);
            let unused = analysis.disuse(inlet);
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
                (None, _) if !plugged.is_empty() && !analysis.model.is_incomplete => {
                    findings.push(passes_nothing_on(analysis, inlet, plugged));
                    dark.extend(unused.is_absent().then_some(inlet));
                }
                (None, true) if analysis.model.is_to_come(&analysis.inlet_name(inlet)) => {}
                (None, true) => bare.push(inlet),
                (None, false) => {}
            }
        }
        if analysis.model.is_incomplete {
            undecided.extend(bare);
        } else if !bare.is_empty() || !dark.is_empty() {
            say(analysis, device, (&bare, &dark), fed, findings);
        }
    }
    if let Some(first) = undecided.first() {
        findings.push(not_decided(analysis, first, undecided.len()));
    }
}

/// What is plugged into outlets of devices, by the number of the inlet whose power they pass on.
fn behind(analysis: &Analysis<'_>) -> FxHashMap<u32, Vec<Plugged>> {
    let (model, links) = (analysis.model, &analysis.graph.links);
    let cords = model.cords.iter().map(|(cord, _)| Plugged::Cord(cord));
    let strips = model.pdus.iter().map(|(pdu, _)| Plugged::Pdu(pdu));
    let mut behind: FxHashMap<u32, Vec<Plugged>> = FxHashMap::default();
    for plugged in cords.chain(strips) {
        let inlet = links
            .outlet_above(plugged)
            .and_then(|outlet| match outlet.on {
                Carrier::Device(device) => links.inlet_behind(device, outlet.number),
                Carrier::Pdu(_) => None,
            });
        if let Some(inlet) = inlet {
            behind.entry(inlet).or_default().push(plugged);
        }
    }
    behind
}

/// Says what the inlets without a cord mean for the device; of those that are `dark` for others too, that is
/// said already.
fn say(
    analysis: &Analysis<'_>,
    device: Id<Device>,
    (bare, dark): (&[&InletLink], &[&InletLink]),
    fed: u32,
    findings: &mut Vec<Finding>,
) {
    let needed = analysis.flows.loads.device(device).needed;
    if fed < needed {
        let all = [bare, dark].concat();
        return findings.push(dead(analysis, device, &all, fed, needed));
    }
    findings.extend(bare.iter().map(|inlet| one_less(analysis, inlet, fed)));
}
