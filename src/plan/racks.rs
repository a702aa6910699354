//! The racks of a plan: what is wanted in each, and where it goes.

use std::collections::BTreeMap;

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::places::Rack;
use crate::model::value::Id;
use crate::quantity::{InUnits, Length};
use crate::tables::{Practice, usual_lengths};

use super::ends::{Ends, ends};
use super::offered::{Offered, is_of};
use super::problem::Problem;
use super::rack::{Feed, MOST_LENGTHS, RackPlan, Stock, Strips, feed_of};
use super::search::{Effort, Levelled, Places, Shortened, length_sets};
use super::unplanned::Unplanned;
use super::wanted::{Wanted, wanted};
use super::{Asked, Objective};

/// What is to be planned.
pub(super) struct Task<'a> {
    pub racks: Vec<RackPlan<'a>>,
    pub unplanned: Vec<Unplanned>,
}

/// What is asked for, rack by rack.
pub(super) fn task<'a>(analysis: &Analysis<'a>, asked: &Asked, practice: Practice) -> Task<'a> {
    let mut unplanned = Vec::new();
    let mut by_rack: BTreeMap<Id<Rack>, Vec<Id<Device>>> = BTreeMap::new();
    for (device, _) in analysis.model.devices.iter() {
        let bare = analysis.graph.links.inlets_of(device);
        let is_bare = bare.into_iter().any(|(_, inlet)| inlet.fed_by.is_none());
        if !is_bare || !is_asked(analysis, asked, device) {
            continue;
        }
        match analysis.graph.links.device_racks[device.index()] {
            Some(rack) => by_rack.entry(rack).or_default().push(device),
            None => unplanned.push(Unplanned::of_device(
                analysis,
                device,
                "it stands in no rack, so that no way can be measured",
                "Write the rack that it stands in.",
            )),
        }
    }
    let mut taken = analysis.taken_outlets();
    if !asked.takes_reserve {
        taken.extend(analysis.reserved_outlets());
    }
    let mut pdus: FxHashMap<Id<Rack>, Vec<Id<Pdu>>> = FxHashMap::default();
    for (pdu, _) in analysis.model.pdus.iter() {
        let rack = analysis.graph.links.pdu_racks[pdu.index()];
        rack.into_iter()
            .for_each(|rack| pdus.entry(rack).or_default().push(pdu));
    }
    let stock = stock(analysis, practice);
    let offered = Offered::of(analysis);
    let made = |ends: &Ends| made(analysis, &stock, offered.as_ref(), ends);
    let mut racks = Vec::new();
    for (rack, devices) in by_rack {
        let own = pdus.get(&rack).map_or(&[][..], Vec::as_slice);
        let strips = Strips::of(analysis, own, &taken);
        let feeds = feeds(analysis, own);
        let serves = |feed: Feed<'a>, coupler: &_| {
            let mut own = strips.outlets.iter().filter(|outlet| outlet.feed == feed);
            own.any(|outlet| ends(outlet.coupler, coupler, practice).is_some())
        };
        let mut loaded = BTreeMap::new();
        let each = devices.iter();
        let all = each
            .flat_map(|device| wanted(analysis, *device, &feeds, serves, (practice, &mut loaded)));
        let all: Vec<Wanted<'a>> = all
            .filter(|want| is_asked_for(analysis, asked, want))
            .collect();
        if all.len().saturating_mul(strips.outlets.len()) > MOST_PAIRS {
            let too_many = devices.iter().map(|device| {
                Unplanned::of_device(
                    analysis,
                    *device,
                    "its rack has more inlets and outlets than one plan takes",
                    "Plan some of its devices at a time with --device.",
                )
            });
            unplanned.extend(too_many);
            continue;
        }
        racks.push(RackPlan::of(
            analysis,
            rack,
            all,
            strips,
            (&stock, practice),
            made,
        ));
    }
    Task { racks, unplanned }
}

/// Inlets times outlets of one rack at most: ten times what stands in any, and no more than is planned in seconds.
const MOST_PAIRS: usize = 200_000;

/// The feeds of strips, in the order in which the site names them, then by name.
fn feeds<'a>(analysis: &Analysis<'a>, pdus: &[Id<Pdu>]) -> Vec<Feed<'a>> {
    let ids = pdus.iter().filter_map(|pdu| analysis.graph.pdu(*pdu));
    let mut feeds: Vec<Feed<'a>> = ids.filter_map(|id| feed_of(analysis, id)).collect();
    feeds.sort_by_key(|feed| {
        let place = analysis
            .model
            .site
            .feeds
            .named(feed.0)
            .map(|(place, _)| place);
        (place.is_none(), place, *feed)
    });
    feeds.dedup();
    feeds
}

fn is_asked(analysis: &Analysis<'_>, asked: &Asked, device: Id<Device>) -> bool {
    let item = &analysis.model.devices[device];
    let owner = |name: &String| name.split('/').next() == Some(item.name.value.as_str());
    let rack = item.rack.known();
    let in_rack = |name: &String| rack.is_some_and(|rack| rack == name.as_str());
    (asked.devices.is_empty() || asked.devices.iter().any(owner))
        && (asked.racks.is_empty() || asked.racks.iter().any(in_rack))
}

/// Whether an inlet is asked for, where some are named alone.
fn is_asked_for(analysis: &Analysis<'_>, asked: &Asked, want: &Wanted<'_>) -> bool {
    let own = analysis.inlet_name(&analysis.graph.links.inlets[want.inlet as usize]);
    let device = &analysis.model.devices[want.device].name.value;
    let names = |name: &String| *name == own.as_str() || *name == device.as_str();
    asked.devices.is_empty() || asked.devices.iter().any(names)
}

/// The lengths, a bit for each, that a cord with these ends can be had in: any where nobody offers anything, or else
/// those that are offered and those that the site has types of.
fn made(analysis: &Analysis<'_>, stock: &Stock, offered: Option<&Offered<'_>>, ends: &Ends) -> u64 {
    let Some(offered) = offered else {
        return u64::MAX;
    };
    let types = analysis.model.cord_types.items();
    stock.those(|length| {
        offered.makes(ends, length) || types.iter().any(|kind| is_of(kind, ends, length))
    })
}

/// The lengths to choose from: those that are offered, or else those that the site keeps and has types of, or else
/// the usual ones.
pub(super) fn stock(analysis: &Analysis<'_>, practice: Practice) -> Stock {
    let site = &analysis.model.site;
    let kept = site.stock_lengths.iter().map(|length| length.value);
    let types = analysis.model.cord_types.items().iter();
    let plain = types.filter(|kind| kind.legs.is_empty());
    let of_types = plain.filter_map(|kind| kind.length.known().copied());
    let mut lengths: Vec<Length> = kept.chain(of_types).collect();
    let offered = Offered::of(analysis);
    let short = offered.as_ref().map(Offered::short).unwrap_or_default();
    if let Some(offered) = offered {
        lengths.extend(offered.lengths(practice));
    } else if site.stock_lengths.is_empty() {
        // Types are no stock: what is longer than all of them can be had as well.
        let longest = lengths
            .iter()
            .map(|length| length.value)
            .fold(0.0, f64::max);
        let usual = usual_lengths::of(practice).iter().map(|usual| usual.value);
        lengths.extend(usual.filter(|usual| usual.value > longest));
    }
    lengths.sort_by(|a, b| a.value.total_cmp(&b.value));
    lengths.dedup_by(|a, b| (a.in_metres() - b.in_metres()).abs() < 1e-6);
    while lengths.len() > MOST_LENGTHS {
        thin_out(&mut lengths);
    }
    let routing = site.routing.written().ok().flatten();
    let surplus = routing.and_then(|routing| routing.value.surplus.written().ok().flatten());
    Stock {
        lengths,
        surplus: surplus.map(|surplus| surplus.value),
        short,
    }
}

/// Leaves every second length, the longest among them.
fn thin_out(lengths: &mut Vec<Length>) {
    let mut is_kept = lengths.len().is_multiple_of(2);
    lengths.retain(|_| {
        is_kept = !is_kept;
        is_kept
    });
}

/// Racks up to which the search takes all the time that makes a plan better.
const FEW_RACKS: usize = 20;

fn effort(racks: usize, objective: Objective) -> Effort {
    let rounds = if racks > FEW_RACKS { 1 } else { 3 };
    Effort {
        moves: (1_200_000 / racks.max(1)).clamp(6_000, 60_000),
        rounds,
        objective,
    }
}

/// Where everything goes. Racks that are alike are planned once.
pub(super) fn places(racks: &[RackPlan<'_>], objective: Objective) -> Vec<Places> {
    let mut firsts: Vec<usize> = Vec::new();
    let mut like: Vec<usize> = Vec::new();
    let mut by_size: FxHashMap<u64, Vec<usize>> = FxHashMap::default();
    for (number, plan) in racks.iter().enumerate() {
        let same = by_size.entry(plan.problem.sum()).or_default();
        let first = same
            .iter()
            .find(|at| racks[firsts[**at]].problem == plan.problem);
        let at = first.copied().unwrap_or_else(|| {
            firsts.push(number);
            same.push(firsts.len() - 1);
            firsts.len() - 1
        });
        like.push(at);
    }
    let problems: Vec<(&Problem, usize)> = firsts
        .iter()
        .enumerate()
        .map(|(at, first)| {
            (
                &racks[*first].problem,
                like.iter().filter(|own| **own == at).count(),
            )
        })
        .collect();
    let found = found(&problems, effort(problems.len(), objective));
    like.into_iter().map(|at| found[at].clone()).collect()
}

/// The best places in each rack, with lengths that all racks have in common.
fn found(problems: &[(&Problem, usize)], effort: Effort) -> Vec<Places> {
    let level: Vec<Levelled<'_>> = problems
        .par_iter()
        .map(|(problem, _)| Levelled::of(problem, effort))
        .collect();
    if effort.objective == Objective::MostHeadroom {
        return level.iter().map(Levelled::places).collect();
    }
    let all = |allowed: u64, effort: Effort| {
        let each = level
            .par_iter()
            .map(|level| level.shortened(allowed, effort));
        Common::of(each.collect(), problems, effort.further())
    };
    let sets = length_sets(problems, effort.further());
    let sets = sets.into_iter().chain([u64::MAX]);
    let mut tried: Vec<(f64, u64)> = sets
        .map(|set| (all(set, effort.brief(effort.moves / 5)).cost, set))
        .collect();
    tried.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    tried.truncate(GOOD_SETS);
    let best = tried.into_iter().map(|(_, set)| all(set, effort));
    let best = best.reduce(|a, b| if b.cost < a.cost - 1e-9 { b } else { a });
    let racks = best.map_or_else(Vec::new, |best| best.racks);
    racks.iter().map(Shortened::places).collect()
}

/// Sets of lengths that are worth the whole search.
const GOOD_SETS: usize = 3;

/// All racks planned with lengths that they have in common.
struct Common<'p> {
    racks: Vec<Shortened<'p>>,
    cost: f64,
}

impl<'p> Common<'p> {
    fn of(racks: Vec<Shortened<'p>>, problems: &[(&Problem, usize)], further: f64) -> Self {
        let each = racks.iter().zip(problems);
        let cost: f64 = each
            .map(|(rack, (_, count))| rack.cost * *count as f64)
            .sum();
        let lengths = racks.iter().fold(0, |all, rack| all | rack.lengths());
        Self {
            cost: cost + f64::from(lengths.count_ones()) * further,
            racks,
        }
    }
}
