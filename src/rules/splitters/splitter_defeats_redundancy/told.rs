//! The words of `splitter-defeats-redundancy`.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Level, Place};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::Draft;
use crate::rules::splitters::Splitter;

use super::{After, RULE};

pub(super) fn finding(
    analysis: &Analysis<'_>,
    splitter: Splitter<'_>,
    device: Id<Device>,
    shared: &[(Id<Device>, u32)],
    left: usize,
    after: After,
) -> Finding {
    let cord = &analysis.model.cords[splitter.cord];
    let name = &analysis.model.devices[device].name;
    let count = shared.len();
    let whose = format!(
        "{count} inlets of device {} hang on splitter cord {}",
        name.value, cord.name.value
    );
    let headline = match after {
        After::Down => {
            format!("{whose}: pull that one plug, or trip its breaker, and the device stops")
        }
        After::Weakened => format!(
            "{whose}: one pulled plug there takes them all and leaves the device {left} of its {}",
            left + count
        ),
        After::Unknown => format!(
            "does device {} stay up when splitter cord {} is pulled? Missing: how many of its inlets it needs (its maker knows)",
            name.value, cord.name.value
        ),
    };
    let ends: Vec<Place> = ends(analysis, shared);
    let draft = Draft::new(
        &RULE,
        headline,
        cord.name.span,
        format!("one plug for {count} inlets of {}", name.value),
        Citation::common_practice("no single loss takes two supplies of one device"),
    )
    .above(analysis.hops_above(splitter.trunk))
    .below(ends)
    .below([place(name.span, format!("device {}", name.value))])
    .working([format!(
        "{} inlets fed − {count} on this splitter = {left} left when it is lost",
        left + count
    )])
    .about([cord.name.value.clone(), name.value.clone()]);
    match after {
        After::Unknown => draft
            .wants([analysis.device_model_fact(device, |kind| {
                Fact::of(kind, "inlets-needed", Some(&kind.inlets_needed))
            })])
            .advice("Ask the maker how many power supplies carry the device, and write it as `inlets-needed` of its model.")
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
fn ends(analysis: &Analysis<'_>, shared: &[(Id<Device>, u32)]) -> Vec<Place> {
    let links = &analysis.graph.links;
    let end = |&(_, number): &(Id<Device>, u32)| {
        let inlet = &links.inlets[number as usize];
        let (cord, leg) = inlet.fed_by?;
        let end = links.cord_ends(cord).iter().find(|end| end.leg == leg)?;
        Some(place(
            end.span,
            format!("inlet {}", analysis.inlet_name(inlet)),
        ))
    };
    shared.iter().filter_map(end).collect()
}
