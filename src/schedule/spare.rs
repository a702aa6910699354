//! What room there is: free outlets, what everything above them can still take in its worst state, and the largest
//! further device of each rack.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashSet;

use crate::analysis::{Analysis, Margin};
use crate::graph::{Carrier, ElementId, ElementKind, OutletId};
use crate::model::circuits::Pole;
use crate::model::pdus::Pdu;
use crate::model::places::Rack;
use crate::model::value::Id;
use crate::quantity::{ApparentPower, Current, InUnits, amperes};

use super::table::{Column, Row, Schedule, UNKNOWN, at_most, names, numbers, words};

const COLUMNS: &[Column] = &[
    names("rack"),
    names("what"),
    names("feed"),
    words("free outlets"),
    numbers("left A"),
    numbers("left kVA"),
    words("next to be full"),
];

const NOTES: [&str; 3] = [
    "left: what more may hang there with no limit passed, normally or after any single loss; of several lines the fullest counts. A further device on two feeds may draw that much on either of them alone.",
    "next to be full: what bounds it, of everything from the outlet up to the supply.",
    "≤: something on the way is not known, and less may be left. Conductors, couplers and the inlets of what is added are not asked: cordwright specify --add plans a device with its cords.",
];

/// The room of all racks; of some alone where they are named.
pub(super) fn spare(analysis: &Analysis<'_>, racks: &[String]) -> Schedule {
    let (mut taken, reserved) = (analysis.taken_outlets(), analysis.reserved_outlets());
    let kept = reserved.difference(&taken).count();
    taken.extend(reserved);
    let mut by_rack: BTreeMap<(bool, usize), InRack> = BTreeMap::new();
    for (pdu, _) in analysis.model.pdus.iter() {
        let rack = analysis.graph.links.pdu_racks[pdu.index()];
        let name = rack.map(|rack| analysis.model.racks[rack].name.value.as_str());
        if !racks.is_empty() && !name.is_some_and(|name| racks.iter().any(|own| own == name)) {
            continue;
        }
        let key = (rack.is_none(), rack.map_or(0, Id::index));
        let (_, spots) = by_rack.entry(key).or_insert_with(|| (rack, Vec::new()));
        spots.extend(spots_of(analysis, pdu, &taken));
    }
    let mut rows = above(analysis, by_rack.values().flat_map(|(_, spots)| spots));
    for (rack, spots) in by_rack.values() {
        let name = rack.map(|rack| analysis.model.racks[rack].name.value.to_string());
        let name = name.unwrap_or_default();
        rows.extend(spots.iter().map(|spot| spot.row(&name)));
        rows.extend(further(&name, spots));
    }
    let kept = match kept {
        0 => None,
        1 => Some("1 free outlet of the site is kept in reserve and not counted.".to_owned()),
        kept => Some(format!(
            "{kept} free outlets of the site are kept in reserve and not counted."
        )),
    };
    let notes: Vec<&str> = NOTES.into_iter().chain(kept.as_deref()).collect();
    Schedule::new(COLUMNS, rows, &notes)
}

/// A rack, and the banks of the strips in it.
type InRack = (Option<Id<Rack>>, Vec<Spot>);

/// What more may hang on something: how much, what bounds it, and whether less may be left.
#[derive(Clone, Debug)]
struct Room {
    current: Current,
    by: String,
    is_bound: bool,
}

/// A bank with its free outlets.
struct Spot {
    bank: ElementId,
    name: String,
    feed: String,
    /// Free outlets by coupler, and what each is rated for.
    free: BTreeMap<String, (usize, Option<f64>)>,
    volts: f64,
    room: Option<Room>,
}

fn spots_of(analysis: &Analysis<'_>, pdu: Id<Pdu>, taken: &FxHashSet<OutletId>) -> Vec<Spot> {
    let (Some(id), Some(model), Some(table)) = (
        analysis.graph.pdu(pdu),
        analysis.graph.pdu_model(analysis.model, pdu),
        analysis.graph.links.outlet_table(pdu),
    ) else {
        return Vec::new();
    };
    let feed = analysis
        .graph
        .supply_of(id)
        .map(|supply| &analysis.model.supplies[supply]);
    let feed = feed.and_then(|supply| supply.feed.known());
    let feed = feed.map_or_else(|| UNKNOWN.to_owned(), ToString::to_string);
    let banks = analysis.graph.children(id);
    let banks = banks.filter_map(|bank| match analysis.graph.kind(bank) {
        ElementKind::Bank(_, number) => Some((bank, number)),
        _ => None,
    });
    let spot = |(bank, number): (ElementId, u32)| {
        let mut free: BTreeMap<String, (usize, Option<f64>)> = BTreeMap::new();
        for outlet in 0..table.len() as u32 {
            let on = Carrier::Pdu(pdu);
            let is_here = table.slot(outlet).bank == number;
            if !is_here || taken.contains(&OutletId { on, number: outlet }) {
                continue;
            }
            let own = table.outlet(model, outlet);
            let coupler = own.coupler.row();
            let name = coupler.map_or(UNKNOWN, |coupler| coupler.name.as_str());
            let practice = analysis.practice();
            let rated = coupler.zip(practice).and_then(|(coupler, practice)| {
                coupler
                    .rated(practice)
                    .current
                    .as_ref()
                    .map(|rated| rated.value.in_amperes())
            });
            free.entry(name.to_owned()).or_insert((0, rated)).0 += 1;
        }
        Spot {
            name: analysis.full_name(bank).to_string(),
            feed: feed.clone(),
            free,
            volts: lowest_volts(analysis, bank),
            room: room(analysis, bank),
            bank,
        }
    };
    banks.map(spot).collect()
}

/// Volts between the poles of a bank at the low end of the supply's tolerance; zero where nobody knows.
fn lowest_volts(analysis: &Analysis<'_>, bank: ElementId) -> f64 {
    analysis
        .lowest_voltage(bank)
        .map_or(0.0, |volts| volts.in_volts())
}

/// What a bank can still take, by itself and by all that it hangs on; `None` where nothing bounds it or nobody knows.
fn room(analysis: &Analysis<'_>, bank: ElementId) -> Option<Room> {
    let poles: Vec<Pole> = analysis
        .graph
        .poles(bank)
        .filter(|pole| *pole != Pole::N)
        .collect();
    let volts = lowest_volts(analysis, bank);
    let mut least: Option<Room> = None;
    let mut is_bound = false;
    for id in std::iter::once(bank).chain(analysis.graph.upwards(bank)) {
        match left_on(analysis, id, &poles, volts) {
            Left::Of(current, may_be_less) => {
                is_bound |= may_be_less;
                if least.as_ref().is_none_or(|least| current < least.current) {
                    least = Some(Room {
                        current,
                        by: analysis.describe(id),
                        is_bound: false,
                    });
                }
            }
            Left::Unknown => is_bound = true,
            Left::Unbounded => {}
        }
    }
    least.map(|room| Room { is_bound, ..room })
}

/// What is left on an element.
enum Left {
    /// So much; less where something is not known.
    Of(Current, bool),
    /// Nobody knows.
    Unknown,
    /// Nothing bounds it there.
    Unbounded,
}

fn left_on(analysis: &Analysis<'_>, id: ElementId, poles: &[Pole], volts: f64) -> Left {
    if let Some(delivery) = analysis.delivery(id) {
        let Some(capacity) = delivery.capacity.filter(|_| volts > 0.0) else {
            return Left::Unknown;
        };
        let lines = analysis
            .graph
            .poles(id)
            .filter(|pole| *pole != Pole::N)
            .count()
            .max(1);
        let whole = capacity.in_volt_amperes() - delivery.worst.in_volt_amperes();
        // Each line has its part of the capacity.
        let part = capacity.in_volt_amperes() / lines as f64;
        let of_line = |pole: &Pole| {
            let worst = analysis.flows.worst_on(analysis.graph, id, *pole);
            let volts = analysis.flows.voltage_to_neutral(analysis.graph, id, *pole);
            let carried = worst.map_or(0.0, |worst| worst.current.in_amperes());
            part - carried * volts.map_or(0.0, |volts| volts.in_volts())
        };
        let line = poles.iter().map(of_line).fold(f64::INFINITY, f64::min);
        let left = if lines > 1 { whole.min(line) } else { whole };
        return Left::Of(amperes(left / volts), delivery.more_may_flow);
    }
    let held = analysis.held(id);
    let mut least = Left::Unbounded;
    for pole in poles {
        let standing = held.on(*pole);
        // What nothing hangs on carries nothing.
        let margin = match (&standing.worst, &standing.limit) {
            (None, Some(limit)) if !standing.more_may_flow => match standing.untold.is_empty() {
                true => Margin::Known(limit.current),
                false => Margin::AtMost(limit.current),
            },
            _ => standing.margin(),
        };
        least = match (margin, least) {
            (_, Left::Unknown) | (Margin::Unknown, _) => Left::Unknown,
            (Margin::Unbounded, least) => least,
            (Margin::Known(left), Left::Unbounded) => Left::Of(left, false),
            (Margin::AtMost(left), Left::Unbounded) => Left::Of(left, true),
            (Margin::Known(left), Left::Of(other, bound)) => Left::Of(smaller(left, other), bound),
            (Margin::AtMost(left), Left::Of(other, _)) => Left::Of(smaller(left, other), true),
        };
    }
    least
}

fn smaller(one: Current, other: Current) -> Current {
    if other < one { other } else { one }
}

impl Spot {
    fn row(&self, rack: &str) -> Row {
        let free = self
            .free
            .iter()
            .map(|(coupler, (count, _))| format!("{count} {coupler}"));
        let free = free.collect::<Vec<_>>().join(", ");
        let left = self.room.as_ref().map(|room| room.current.in_amperes());
        let is_bound = self.room.as_ref().is_some_and(|room| room.is_bound);
        vec![
            rack.to_owned(),
            self.name.clone(),
            self.feed.clone(),
            if free.is_empty() { "none".into() } else { free },
            at_most(left, is_bound),
            at_most(left.map(|left| left * self.volts / 1000.0), is_bound),
            self.room
                .as_ref()
                .map_or_else(|| UNKNOWN.to_owned(), |room| room.by.clone()),
        ]
    }

    /// Volt-amperes that one more plug of a coupler may draw here.
    fn most(&self, coupler: &str) -> Option<(f64, &Room)> {
        let (_, rated) = self.free.get(coupler)?;
        let room = self.room.as_ref()?;
        let current = room.current.in_amperes().min((*rated)?);
        Some((current.max(0.0) * self.volts, room))
    }
}

/// The largest further device of a rack, for each coupler that has a free outlet: on two feeds where there are two.
fn further(rack: &str, spots: &[Spot]) -> Vec<Row> {
    let couplers: BTreeSet<&String> = spots.iter().flat_map(|spot| spot.free.keys()).collect();
    let couplers = couplers.into_iter().filter(|coupler| *coupler != UNKNOWN);
    let rows = couplers.filter_map(|coupler| {
        let mut best: BTreeMap<&str, (f64, &Spot, &Room)> = BTreeMap::new();
        for spot in spots {
            let Some((most, room)) = spot.most(coupler) else {
                continue;
            };
            let known = best.get(spot.feed.as_str());
            if known.is_none_or(|known| most > known.0) {
                best.insert(&spot.feed, (most, spot, room));
            }
        }
        let mut feeds: Vec<(f64, &Spot, &Room)> = best.into_values().collect();
        feeds.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.bank.cmp(&b.1.bank)));
        feeds.truncate(2);
        let (most, _, room) = feeds.last()?;
        let how = if feeds.len() == 2 {
            "dual-corded"
        } else {
            "on one feed"
        };
        let at = feeds.iter().map(|(_, spot, _)| spot.name.clone());
        let is_bound = feeds.iter().any(|(.., room)| room.is_bound);
        Some(vec![
            rack.to_owned(),
            format!("further device, {how}"),
            at.collect::<Vec<_>>().join(", "),
            coupler.clone(),
            String::new(),
            at_most(Some(most / 1000.0), is_bound),
            room.by.clone(),
        ])
    });
    rows.collect()
}

/// Supplies, circuits and strips that banks hang on, each once, from the supply down.
fn above<'a>(analysis: &Analysis<'_>, spots: impl Iterator<Item = &'a Spot>) -> Vec<Row> {
    let mut all = BTreeSet::new();
    for spot in spots {
        all.extend(analysis.graph.upwards(spot.bank));
    }
    let shown = all.into_iter().filter(|id| {
        !matches!(
            analysis.graph.kind(*id),
            ElementKind::Cord(_) | ElementKind::Leg(..)
        )
    });
    let rows = shown.map(|id| {
        let lines: Vec<Pole> = analysis
            .graph
            .poles(id)
            .filter(|pole| *pole != Pole::N)
            .collect();
        let left = match analysis.delivery(id) {
            Some(delivery) => match delivery.margin() {
                Margin::Known(left) => (None, Some(left), false),
                Margin::AtMost(left) => (None, Some(left), true),
                Margin::Unknown | Margin::Unbounded => (None, None, false),
            },
            None => match left_on(analysis, id, &lines, 0.0) {
                Left::Of(current, is_bound) => (Some(current.in_amperes()), None, is_bound),
                Left::Unknown | Left::Unbounded => (None, None, false),
            },
        };
        let (current, power, is_bound) = left;
        let power = power.map(|power: ApparentPower| power.in_volt_amperes() / 1000.0);
        vec![
            String::new(),
            analysis.describe(id),
            String::new(),
            String::new(),
            if power.is_some() {
                String::new()
            } else {
                at_most(current, is_bound)
            },
            power.map_or_else(String::new, |power| at_most(Some(power), is_bound)),
            String::new(),
        ]
    });
    rows.collect()
}
