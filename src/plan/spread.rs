//! Racks against each other: a strip that is loaded well by itself may still load the same line as all the others do.
//!
//! The cords of a strip are moved together from bank to bank, so that the strip stays as it is but for the line that
//! each bank is on; of the ways to do so that is taken which leaves the lines of the supply the most alike.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::graph::ElementId;
use crate::model::circuits::Pole;
use crate::quantity::InUnits;

use super::placing::Placing;
use super::rack::RackPlan;
use super::search::Places;

/// Amperes on the lines of the supplies.
type Lines = BTreeMap<ElementId, BTreeMap<Pole, f64>>;

/// How much better a turn must be: less is not worth a cord in another place.
const WORTH: f64 = 0.99;
/// The same where another length of cord may be needed.
const WORTH_A_LENGTH: f64 = 0.9;

/// The cords of one strip, to be turned.
struct Strip {
    rack: usize,
    number: usize,
    amperes: f64,
}

/// Turns the cords of strips from bank to bank until the lines of the supplies are loaded as alike as that can make
/// them: strip by strip, those that carry most first.
pub(super) fn across_racks(analysis: &Analysis<'_>, racks: &[RackPlan<'_>], places: &mut [Places]) {
    let mut lines = carried(analysis, racks);
    let mut strips = Vec::new();
    for (rack, plan) in racks.iter().enumerate() {
        for number in 0..plan.problem.strips() {
            let own = on_strip(plan, &places[rack], number);
            let amperes = own.map(|(want, outlet)| {
                let bank = plan.problem.outlets[outlet].bank;
                plan.problem.amperes(want, bank)
            });
            strips.push(Strip {
                rack,
                number,
                amperes: amperes.sum(),
            });
        }
    }
    strips.sort_by(|a, b| b.amperes.total_cmp(&a.amperes));
    for Strip { rack, number, .. } in strips {
        let (load, turned) = best_turn(&racks[rack], &places[rack], number, &lines);
        for (supply, own) in load {
            let lines = lines.entry(supply).or_default();
            for (pole, amperes) in own {
                *lines.entry(pole).or_default() += amperes;
            }
        }
        if let Some(turned) = turned {
            places[rack] = turned;
        }
    }
}

/// How a strip is loaded best, and its rack's places where that is another way than it was.
fn best_turn(
    plan: &RackPlan<'_>,
    places: &Places,
    strip: usize,
    lines: &Lines,
) -> (Lines, Option<Places>) {
    let banks = banks_of(plan, strip);
    let stays = (load(plan, places, strip), None);
    let mut best = (unevenness(lines, &stays.0), stays);
    for (lengths, worth) in [(used(places), WORTH), (u64::MAX, WORTH_A_LENGTH)] {
        let enough = best.0 * worth;
        for by in 1..banks.len() {
            let Some(turned) = turned(plan, places, (strip, &banks), (by, lengths)) else {
                continue;
            };
            let load = load(plan, &turned, strip);
            let uneven = unevenness(lines, &load);
            if uneven < enough.min(best.0) {
                best = (uneven, (load, Some(turned)));
            }
        }
    }
    best.1
}

/// The lengths of a rack's cords, a bit for each.
fn used(places: &Places) -> u64 {
    let lengths = places.iter().flatten();
    lengths.fold(0, |used, (_, length)| used | 1 << length)
}

/// What the lines of the supplies carry in the normal state before anything is planned.
fn carried(analysis: &Analysis<'_>, racks: &[RackPlan<'_>]) -> Lines {
    let mut lines = Lines::new();
    for on in racks.iter().flat_map(|plan| &plan.bank_lines) {
        let Some((supply, _)) = on.first() else {
            continue;
        };
        lines.entry(*supply).or_insert_with(|| {
            let normal = analysis.flows.normal_currents(analysis.graph, *supply);
            let normal = normal.filter(|(pole, _)| *pole != Pole::N);
            normal
                .map(|(pole, current)| (pole, current.in_amperes()))
                .collect()
        });
    }
    lines
}

fn on_strip<'p>(
    plan: &'p RackPlan<'_>,
    places: &'p Places,
    strip: usize,
) -> impl Iterator<Item = (usize, usize)> + 'p {
    let placed = places.iter().enumerate();
    let placed = placed.filter_map(|(want, place)| Some((want, (*place)?.0)));
    placed.filter(move |(_, outlet)| plan.problem.outlets[*outlet].strip == strip)
}

/// What the cords of a strip put on the lines of its supply.
fn load(plan: &RackPlan<'_>, places: &Places, strip: usize) -> Lines {
    let mut lines = Lines::new();
    for (want, outlet) in on_strip(plan, places, strip) {
        let bank = plan.problem.outlets[outlet].bank;
        for (supply, pole) in &plan.bank_lines[bank] {
            let own = lines.entry(*supply).or_default().entry(*pole);
            *own.or_default() += plan.problem.amperes(want, bank);
        }
    }
    lines
}

/// How unlike the lines of the supplies are that more hangs on: the squares of what lies above or below their mean.
fn unevenness(lines: &Lines, more: &Lines) -> f64 {
    let of_supply = more.iter().map(|(supply, more)| {
        let mut all = lines.get(supply).cloned().unwrap_or_default();
        for (pole, amperes) in more {
            *all.entry(*pole).or_default() += amperes;
        }
        let mean = all.values().sum::<f64>() / all.len().max(1) as f64;
        let off = all.values().map(|amperes| amperes - mean);
        off.map(|off| off * off).sum::<f64>()
    });
    of_supply.sum()
}

/// The banks of a strip in their order.
fn banks_of(plan: &RackPlan<'_>, strip: usize) -> Vec<usize> {
    let outlets = plan.problem.outlets.iter();
    let mut banks: Vec<usize> = outlets
        .filter(|outlet| outlet.strip == strip)
        .map(|outlet| outlet.bank)
        .collect();
    banks.sort_unstable();
    banks.dedup();
    banks
}

/// The places with the cords of a strip moved on by so many banks; `None` where one of them has no like outlet there,
/// or another length would have to be kept.
fn turned(
    plan: &RackPlan<'_>,
    places: &Places,
    (strip, banks): (usize, &[usize]),
    (by, lengths): (usize, u64),
) -> Option<Places> {
    let problem = &plan.problem;
    let placing = Placing::with_lengths(problem, lengths, 0.0);
    let mut turned = places.clone();
    for (want, outlet) in on_strip(plan, places, strip) {
        let bank = problem.outlets[outlet].bank;
        let at = banks.iter().position(|own| *own == bank)?;
        let to = banks[(at + by) % banks.len()];
        let (from, onto) = (&problem.banks[bank], &problem.banks[to]);
        let is_alike = from.volts == onto.volts
            && from.limit == onto.limit
            && from.carries == onto.carries
            && from.lines.len() == onto.lines.len();
        if !is_alike {
            return None;
        }
        let own = &plan.outlets[outlet];
        let target = plan
            .outlets
            .iter()
            .zip(&problem.outlets)
            .position(|(other, spot)| {
                spot.bank == to
                    && other.in_bank == own.in_bank
                    && other.coupler.name == own.coupler.name
            })?;
        turned[want] = Some((target, placing.length(want, target)?));
    }
    Some(turned)
}
