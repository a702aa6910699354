//! `splitter-defeats-redundancy`: do two inlets of one device hang on one splitter?

mod told;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{ElementId, Receiver};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::rule;

use super::Splitter;
use told::finding;

rule!(
    "splitter-defeats-redundancy",
    Splitters,
    Error,
    "Two inlets of one device hang on one splitter: pulling one plug takes both supplies away."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for splitter in Splitter::all(analysis) {
        let mut inlets: Vec<(Id<Device>, u32)> = inlets_below(analysis, splitter.trunk).collect();
        inlets.sort_unstable();
        for shared in inlets.chunk_by(|a, b| a.0 == b.0) {
            findings.extend(judge(analysis, splitter, shared));
        }
    }
}

fn inlets_below(
    analysis: &Analysis<'_>,
    trunk: ElementId,
) -> impl Iterator<Item = (Id<Device>, u32)> {
    let graph = analysis.graph;
    graph
        .below(trunk)
        .filter_map(move |id| match graph.receiver(ElementId(id)) {
            Some(&Receiver::Inlet(inlet)) => {
                Some((graph.links.inlets[inlet as usize].device, inlet))
            }
            _ => None,
        })
}

/// How the loss of the splitter leaves a device.
enum After {
    /// It goes down, though it would stand the loss of any one supply.
    Down,
    /// It stays up on what is left.
    Weakened,
    /// Nobody says how many supplies it needs.
    Unknown,
}

fn judge(
    analysis: &Analysis<'_>,
    splitter: Splitter<'_>,
    shared: &[(Id<Device>, u32)],
) -> Option<Finding> {
    let (device, _) = *shared.first()?;
    if shared.len() < 2 {
        return None;
    }
    let links = &analysis.graph.links;
    let fed = links
        .inlets_of(device)
        .filter(|(_, inlet)| analysis.graph.feeding(inlet).is_some())
        .count();
    let needed = analysis
        .graph
        .device_model(analysis.model, device)?
        .inlets_needed
        .written();
    // What cannot be read is asked by `supplies-insufficient`.
    let needed = needed.ok().flatten().map(|needed| needed.value);
    let left = fed - shared.len();
    let after = match needed.map(|needed| needed.max(1) as usize) {
        // It needs every one: there is no redundancy to lose.
        Some(needed) if needed >= fed => return None,
        Some(needed) if left < needed => After::Down,
        Some(_) => After::Weakened,
        None if left == 0 => After::Down,
        None => After::Unknown,
    };
    Some(finding(analysis, splitter, device, shared, left, after))
}
