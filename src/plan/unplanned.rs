//! What cannot be planned: why, and the smallest thing that would make it possible.

use crate::analysis::{Analysis, Lack};
use crate::finding::FactState;
use crate::graph::Receiver;
use crate::ink::short;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{Length, Quantity, show_rounded};
use crate::tables::Practice;

use super::ends::ends;
use super::rack::{FreeOutlet, Stock};
use super::wanted::Wanted;

/// An inlet that stays without a cord.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unplanned {
    /// `device/inlet`, or the device alone.
    pub what: String,
    /// Why it has no place.
    pub why: String,
    /// What would give it one.
    pub wanted: String,
}

/// Why a site gets no plan whose labels are of no shape that could be counted on.
pub(super) const NO_LABEL: &str =
    "no label can be made from `site.label`: it has no place for a number, or none is left";

impl Unplanned {
    /// A device none of whose inlets can be planned.
    pub(super) fn of_device(
        analysis: &Analysis<'_>,
        device: Id<Device>,
        why: &str,
        wanted: &str,
    ) -> Self {
        Self {
            what: analysis.model.devices[device].name.value.to_string(),
            why: why.to_owned(),
            wanted: wanted.to_owned(),
        }
    }

    /// An inlet for which the search has found no outlet.
    pub(super) fn of_inlet(
        analysis: &Analysis<'_>,
        want: &Wanted<'_>,
        outlets: &[FreeOutlet<'_>],
        (stock, practice): (&Stock, Practice),
        has_way: bool,
    ) -> Self {
        let link = &analysis.graph.links.inlets[want.inlet as usize];
        let (why, wanted) = reason(analysis, want, outlets, (stock, practice, has_way));
        Self {
            what: analysis.inlet_name(link).to_string(),
            why,
            wanted,
        }
    }
}

fn reason(
    analysis: &Analysis<'_>,
    want: &Wanted<'_>,
    outlets: &[FreeOutlet<'_>],
    (stock, practice, has_way): (&Stock, Practice, bool),
) -> (String, String) {
    let coupler = &want.coupler.name;
    let Some(feed) = want.feed else {
        return (
            "no strip of its rack hangs on a feed that it may use".into(),
            "Define a strip in its rack whose `from` is a circuit of such a feed.".into(),
        );
    };
    let on_feed = outlets.iter().filter(|outlet| outlet.feed == feed);
    let mating = on_feed.filter(|outlet| ends(outlet.coupler, want.coupler, practice).is_some());
    let mating: Vec<&FreeOutlet<'_>> = mating.collect();
    let Some(first) = mating.first() else {
        return (
            format!(
                "no strip on feed {} has a free outlet for an inlet {coupler}",
                short(feed.0)
            ),
            format!("A free outlet for {coupler} on feed {}.", short(feed.0)),
        );
    };
    let routes = mating
        .iter()
        .map(|outlet| analysis.route_from(outlet.id, Receiver::Inlet(want.inlet)));
    let mut nearest = None;
    for route in routes {
        match route {
            Some(Ok(route)) if nearest.is_none_or(|near| route.length() < near) => {
                nearest = Some(route.length());
            }
            Some(Ok(_)) => {}
            Some(Err(lacks)) => {
                let lacks: Vec<String> = lacks.iter().flatten().map(lacking).collect();
                return (
                    format!("no way can be measured: {}", lacks.join(", and ")),
                    WAY_NEEDS.into(),
                );
            }
            None => {
                return (
                    "no way can be measured: it stands in no rack with a strip".into(),
                    "Write the rack and the place of both ends.".into(),
                );
            }
        }
    }
    if !has_way && let Some(untold) = not_offered(analysis, want, first, nearest) {
        return untold;
    }
    told_of_way(analysis, nearest, stock, first)
}

/// What is missing at an end of a way.
fn lacking(lack: &Lack) -> String {
    let (fact, how) = (&lack.fact, lack.how());
    let owner = short(&fact.owner);
    match fact.state {
        FactState::Written => format!("{} {owner} wants {}", fact.kind, lack.missing),
        FactState::Absent | FactState::Unreadable if owner.is_empty() => {
            format!("`{}` of the site {how}", fact.full_key())
        }
        FactState::Absent | FactState::Unreadable => {
            format!("`{}` of {} {owner} {how}", fact.full_key(), fact.kind)
        }
    }
}

/// All of it at once, so that nobody is asked for one after the other.
const WAY_NEEDS: &str = "Measure in the rack. A way is made of `mount: {side, foot, head}` of the strip, `outlet-pitch` and `first-outlet` of its model, `at` of the device, and `height` of its model.";

/// No offer makes a cord of that length, where there are offers at all.
fn not_offered(
    analysis: &Analysis<'_>,
    want: &Wanted<'_>,
    first: &FreeOutlet<'_>,
    nearest: Option<Length>,
) -> Option<(String, String)> {
    let way = analysis.on_tape(analysis.rounded_up(nearest?));
    let (outlet, inlet) = (&first.coupler.name, &want.coupler.name);
    let is_offered = !analysis.model.offers.is_empty();
    is_offered.then(|| {
        (
            format!("no offer that holds makes a cord from {outlet} to {inlet} of {way} or more"),
            format!("An offer of such a cord, or a type of the site's own of {way} or more."),
        )
    })
}

fn told_of_way(
    analysis: &Analysis<'_>,
    nearest: Option<Length>,
    stock: &Stock,
    first: &FreeOutlet<'_>,
) -> (String, String) {
    let longest = stock.lengths.last().copied();
    let pdu = short(&analysis.model.pdus[first.pdu].name.value).into_owned();
    match (nearest, longest) {
        (Some(nearest), Some(longest)) if nearest > longest => (
            format!(
                "its nearest outlet is {} of cord away, and {} is the longest kept",
                show_rounded(nearest),
                longest.show()
            ),
            format!(
                "A cord of {} or more in `stock-lengths`.",
                show_rounded(nearest)
            ),
        ),
        _ => (
            format!(
                "other inlets take all outlets that it could have on PDU {pdu}, or what they may still carry"
            ),
            format!("One more free outlet beside PDU {pdu}, or a device less in the rack."),
        ),
    }
}
