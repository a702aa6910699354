//! `splitter-defeats-redundancy`: do two inlets of one device hang on one splitter?

use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::graph::{ElementId, Receiver};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};

use super::Splitter;

rule!(
    "splitter-defeats-redundancy",
    Splitters,
    Error,
    "Two inlets of one device hang on one splitter: pulling one plug takes both supplies away."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for splitter in Splitter::all(survey) {
        let mut inlets: Vec<(Id<Device>, u32)> = inlets_below(survey, splitter.trunk).collect();
        inlets.sort_unstable();
        for shared in inlets.chunk_by(|a, b| a.0 == b.0) {
            findings.extend(judge(survey, splitter, shared));
        }
    }
}

fn inlets_below(survey: &Survey<'_>, trunk: ElementId) -> impl Iterator<Item = (Id<Device>, u32)> {
    let graph = survey.graph;
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
    survey: &Survey<'_>,
    splitter: Splitter<'_>,
    shared: &[(Id<Device>, u32)],
) -> Option<Finding> {
    let (device, _) = *shared.first()?;
    if shared.len() < 2 {
        return None;
    }
    let links = &survey.graph.links;
    let fed = links
        .inlets_of(device)
        .filter(|(_, inlet)| survey.graph.feeding(inlet).is_some())
        .count();
    let needed = survey
        .graph
        .device_model(survey.model, device)?
        .inlets_needed
        .copied();
    let left = fed - shared.len();
    let after = match needed.map(|needed| needed.max(1) as usize) {
        // It needs every one: there is no redundancy to lose.
        Some(needed) if needed >= fed => return None,
        Some(needed) if left < needed => After::Down,
        Some(_) => After::Weakened,
        None if left == 0 => After::Down,
        None => After::Unknown,
    };
    Some(finding(survey, splitter, device, shared, left, after))
}

fn finding(
    survey: &Survey<'_>,
    splitter: Splitter<'_>,
    device: Id<Device>,
    shared: &[(Id<Device>, u32)],
    left: usize,
    after: After,
) -> Finding {
    let cord = &survey.model.cords[splitter.cord];
    let name = &survey.model.devices[device].name;
    let count = shared.len();
    let whose = format!(
        "{count} inlets of device {} hang on splitter cord {}",
        name.value, cord.name.value
    );
    let headline = match after {
        After::Down => {
            format!("{whose}: one pulled plug or tripped breaker there takes the device down")
        }
        After::Weakened => format!(
            "{whose}: one pulled plug there takes them all and leaves the device {left} of its {}",
            left + count
        ),
        After::Unknown => format!(
            "whether device {} outlives the loss of splitter cord {} cannot be said: how many of its inlets it needs is missing",
            name.value, cord.name.value
        ),
    };
    let ends: Vec<Place> = ends(survey, shared);
    let draft = Draft::new(
        &RULE,
        headline,
        cord.name.span,
        format!("one plug for {count} inlets of {}", name.value),
        Citation::common_practice("no single loss takes two supplies of one device"),
    )
    .above(survey.hops_above(splitter.trunk))
    .below(ends)
    .below([place(name.span, format!("device {}", name.value))])
    .working([format!(
        "{} inlets fed − {count} on this splitter = {left} left when it is lost",
        left + count
    )])
    .about([cord.name.value.clone(), name.value.clone()]);
    match after {
        After::Unknown => draft
            .open()
            .advice("Write `inlets-needed` in the device model.")
            .finish(),
        _ => draft
            .level(if matches!(after, After::Down) { Level::Error } else { Level::Warning })
            .advice(format!(
                "Give each inlet of device {} a cord of its own, each from a PDU on another feed; move one at a time, and see the device stay up.",
                name.value
            ))
            .finish(),
    }
}

/// Where the definitions send a cord to each of the inlets.
fn ends(survey: &Survey<'_>, shared: &[(Id<Device>, u32)]) -> Vec<Place> {
    let links = &survey.graph.links;
    let end = |&(_, number): &(Id<Device>, u32)| {
        let inlet = &links.inlets[number as usize];
        let (cord, leg) = inlet.fed_by?;
        let end = links.cord_ends(cord).iter().find(|end| end.leg == leg)?;
        Some(place(
            end.span,
            format!("inlet {}", survey.inlet_name(inlet)),
        ))
    };
    shared.iter().filter_map(end).collect()
}
