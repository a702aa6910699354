//! Whether single loads can be moved: cords that find a free outlet like their own, and enough of them.

use crate::graph::{CordFeed, ElementId, ElementKind};
use crate::model::text::CouplerRef;
use crate::quantity::{Current, InUnits};
use crate::rules::circuits::contribution::{self, Tap};
use crate::rules::circuits::way::Carried;
use crate::survey::Survey;

/// Whether loads of an overloaded element that make up for `excess` fit into `room` and into free outlets
/// of a peer. Of a circuit with nothing on it the outlets are still to come.
pub(super) fn fits(
    survey: &Survey<'_>,
    carried: &Carried,
    (peer, room): (ElementId, Current),
    excess: Current,
) -> bool {
    let is_bare = matches!(survey.graph.kind(peer), ElementKind::Circuit(_))
        && survey.graph.children(peer).next().is_none();
    let mut free = free_outlets(survey, peer);
    let (mut gained, mut left) = (0.0, room.in_amperes());
    for tap in by_size(survey, carried) {
        let needed = most_amperes(survey, &tap);
        let Some(outlet) = outlet_of(survey, &tap) else {
            continue;
        };
        let place = free.iter().position(|name| *name == outlet);
        if needed > left || (place.is_none() && !is_bare) {
            continue;
        }
        if let Some(place) = place {
            free.swap_remove(place);
        }
        gained += tap.amperes();
        left -= needed;
        if gained >= excess.in_amperes() {
            return true;
        }
    }
    false
}

/// The loads on the overloaded pole, largest first.
fn by_size(survey: &Survey<'_>, carried: &Carried) -> Vec<Tap> {
    let taps = contribution::taps(survey, carried.id, carried.lost).into_iter();
    let mut taps: Vec<Tap> = taps
        .filter(|tap| tap.poles.0 == carried.pole || tap.poles.1 == carried.pole)
        .collect();
    taps.sort_by(|a, b| b.amperes().total_cmp(&a.amperes()));
    taps
}

/// What a load takes at the most where it is moved to: all of its device's where other inlets may be lost.
fn most_amperes(survey: &Survey<'_>, tap: &Tap) -> f64 {
    let inlets = survey.graph.links.inlets_of(tap.device);
    let fed = inlets.filter(|(_, link)| survey.graph.feeding(link).is_some());
    if fed.count() > 1 {
        survey.flows.loads.device(tap.device).power.norm() / tap.volts
    } else {
        tap.amperes()
    }
}

/// The kind of outlet that the cord of a load is plugged into; none for legs, which move with their splitter.
fn outlet_of<'a>(survey: &Survey<'a>, tap: &Tap) -> Option<&'a str> {
    let ElementKind::Cord(cord) = survey.graph.kind(tap.element) else {
        return None;
    };
    let outlet = survey.outlet_of(cord)?;
    Some(outlet.coupler.get()?.name.as_str())
}

/// The kinds of the free outlets of all banks of a peer, one for each outlet.
fn free_outlets<'a>(survey: &Survey<'a>, peer: ElementId) -> Vec<&'a str> {
    let banks = survey.graph.below(peer).map(ElementId);
    banks.flat_map(|bank| free_in_bank(survey, bank)).collect()
}

fn free_in_bank<'a>(survey: &Survey<'a>, bank: ElementId) -> Vec<&'a str> {
    let ElementKind::Bank(pdu, number) = survey.graph.kind(bank) else {
        return Vec::new();
    };
    let model = survey.graph.pdu_model(survey.model, pdu);
    let Some(own) = model.and_then(|model| model.banks.items().get(number as usize)) else {
        return Vec::new();
    };
    let name = |coupler: CouplerRef| coupler.name.as_str();
    let outlets = own.outlets.0.iter();
    let mut free: Vec<&str> = outlets
        .filter_map(|outlet| outlet.coupler.get().copied().map(name))
        .collect();
    for child in survey.graph.children(bank) {
        let ElementKind::Cord(cord) = survey.graph.kind(child) else {
            continue;
        };
        if let Some(CordFeed::Outlet(..)) = survey.graph.links.cord_feeds[cord.index()]
            && let Some(taken) = survey
                .outlet_of(cord)
                .and_then(|o| o.coupler.get().copied())
            && let Some(place) = free.iter().position(|kind| *kind == name(taken))
        {
            free.swap_remove(place);
        }
    }
    free
}
