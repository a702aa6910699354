//! Is a supply loaded beyond its capacity, as a whole or on one line?

mod working;

use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Level};
use crate::graph::ElementId;
use crate::model::circuits::{Pole, Supply};
use crate::model::value::{Id, Spanned};
use crate::quantity::{ApparentPower, InUnits, Quantity, show_pair, volt_amperes};
use crate::rules::{Draft, Rule};
use crate::survey::{Survey, field_or_name};

use super::contribution;
use super::overload;
use super::way::{self, Carried};

/// What is overloaded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    /// One line, though the supply as a whole is not.
    Line(Pole),
    /// All lines together.
    Whole,
}

/// More than the capacity, or than a line's part of it.
#[derive(Clone, Copy, Debug)]
struct Excess {
    part: Part,
    power: ApparentPower,
    limit: ApparentPower,
    lost: Option<ElementId>,
}

/// Judges a supply in the normal state. A missing load is left to the caller.
pub fn judge_normal(
    rule: &Rule,
    survey: &Survey<'_>,
    id: ElementId,
    supply: Id<Supply>,
) -> Option<Finding> {
    match survey.model.supplies[supply].capacity.given() {
        Some(capacity) => {
            let excess = normal(survey, id, capacity.value)?;
            Some(finding(rule, survey, id, capacity, &excess))
        }
        None => capacity_missing(rule, survey, id, supply),
    }
}

/// Judges a supply in its worst state, where that is worse than the normal one. A missing load is
/// left to the caller.
pub fn judge_worst(
    rule: &Rule,
    survey: &Survey<'_>,
    id: ElementId,
    supply: Id<Supply>,
) -> Option<Finding> {
    let Some(capacity) = survey.model.supplies[supply].capacity.given() else {
        return capacity_missing(rule, survey, id, supply);
    };
    let worst = worst(survey, id, supply, capacity.value)?;
    let before = normal(survey, id, capacity.value);
    let is_worse = before
        .is_none_or(|before| matches!((before.part, worst.part), (Part::Line(_), Part::Whole)));
    (is_worse && worst.lost.is_some()).then(|| finding(rule, survey, id, capacity, &worst))
}

/// What a supply can still deliver in its worst state; `None` where that is not known.
pub fn room(survey: &Survey<'_>, id: ElementId, supply: Id<Supply>) -> Option<ApparentPower> {
    let capacity = survey.model.supplies[supply]
        .capacity
        .get()?
        .in_volt_amperes();
    let (worst, _) = survey.flows.worst_power(supply);
    let is_known = survey.flows.unknown_below(id).is_none();
    is_known.then(|| volt_amperes((capacity - worst.in_volt_amperes()).max(0.0)))
}

fn normal(survey: &Survey<'_>, id: ElementId, capacity: ApparentPower) -> Option<Excess> {
    let flows = survey.flows;
    let lines = flows
        .normal_currents(survey.graph, id)
        .map(|(pole, current)| (pole, current.in_amperes(), None));
    let total = (flows.normal_power(survey.graph, id), None);
    excess(survey, id, capacity, total, lines)
}

fn worst(
    survey: &Survey<'_>,
    id: ElementId,
    supply: Id<Supply>,
    capacity: ApparentPower,
) -> Option<Excess> {
    let flows = survey.flows;
    let poles = survey
        .graph
        .poles(id)
        .filter_map(|pole| flows.worst_on(survey.graph, id, pole));
    let lines = poles.map(|worst| (worst.pole, worst.current.in_amperes(), worst.lost));
    excess(survey, id, capacity, flows.worst_power(supply), lines)
}

/// The whole first; a line only where the whole is within the capacity.
fn excess(
    survey: &Survey<'_>,
    id: ElementId,
    capacity: ApparentPower,
    (total, lost): (ApparentPower, Option<ElementId>),
    lines: impl Iterator<Item = (Pole, f64, Option<ElementId>)>,
) -> Option<Excess> {
    if is_above(total, capacity) {
        return Some(Excess {
            part: Part::Whole,
            power: total,
            limit: capacity,
            lost,
        });
    }
    let number = survey
        .graph
        .poles(id)
        .filter(|pole| *pole != Pole::N)
        .count();
    let limit = volt_amperes(capacity.in_volt_amperes() / number.max(1) as f64);
    let loaded = lines
        .filter(|(pole, ..)| *pole != Pole::N)
        .filter_map(|(pole, amperes, lost)| {
            let volts = survey
                .flows
                .voltage_to_neutral(survey.graph, id, pole)?
                .in_volts();
            Some(Excess {
                part: Part::Line(pole),
                power: volt_amperes(volts * amperes),
                limit,
                lost,
            })
        });
    let largest = loaded.reduce(|a, b| if b.power > a.power { b } else { a })?;
    is_above(largest.power, limit).then_some(largest)
}

fn is_above(power: ApparentPower, limit: ApparentPower) -> bool {
    power.in_volt_amperes() > limit.in_volt_amperes() * 1.000_001
}

fn finding(
    rule: &Rule,
    survey: &Survey<'_>,
    id: ElementId,
    capacity: &Spanned<ApparentPower>,
    excess: &Excess,
) -> Finding {
    let (shown, most) = show_pair(excess.power, excess.limit);
    let supply = survey.describe(id);
    let taps = contribution::taps(survey, id, excess.lost);
    let devices = contribution::count_devices(&taps);
    let after = way::after(survey, excess.lost);
    let headline = match excess.part {
        Part::Whole => format!(
            "{supply} delivers {shown}{after}, more than its capacity of {most}: it overheats or shuts down, which cuts off {devices}"
        ),
        Part::Line(pole) => format!(
            "{supply} delivers {shown} on {} alone{after}, more than that line's part of its capacity, {most}: the line overheats or the supply shuts down, which cuts off {devices}",
            pole.word()
        ),
    };
    let carried = carried(survey, id, excess);
    let mut working = match excess.part {
        Part::Whole => working::whole(survey, &taps, excess.power),
        Part::Line(_) => working::one_line(survey, &carried, excess, capacity.value),
    };
    working.extend(overload::moved(survey, &carried));
    let (level, kind) = match excess.part {
        Part::Whole => (Level::Error, "whole"),
        Part::Line(_) => (Level::Warning, "line"),
    };
    let on_line = match excess.part {
        Part::Whole => String::new(),
        Part::Line(pole) => format!(" on {}", pole.word()),
    };
    let note = format!("{}, delivers {shown}{on_line}", capacity.value.show());
    Draft::new(rule, headline, capacity.span, note, basis(excess.part))
        .level(level)
        .below(way::below(survey, &carried))
        .working(working)
        .advice(advice(survey, id, excess))
        .about([survey.full_name(id)])
        .kind(kind)
        .finish()
}

fn basis(part: Part) -> Citation {
    match part {
        Part::Whole => Citation::marked("capacity of the supply as marked"),
        Part::Line(_) => Citation::new(
            "IEC 60076-1 (transformers), IEC 62040-3 (UPS)",
            "rated current follows from rated power and voltage, all lines alike",
            "",
            Confidence::FromMemory,
        ),
    }
}

/// The line that carries most, for the way down.
fn carried(survey: &Survey<'_>, id: ElementId, excess: &Excess) -> Carried {
    let flows = survey.flows;
    let worst = match (excess.part, excess.lost) {
        (Part::Line(pole), Some(_)) => flows.worst_on(survey.graph, id, pole),
        (_, Some(_)) => flows.worst(survey.graph, id),
        (_, None) => flows.normal(survey.graph, id),
    };
    Carried {
        id,
        pole: worst.map_or(Pole::L1, |worst| worst.pole),
        current: worst.map_or(crate::quantity::amperes(0.0), |worst| worst.current),
        lost: excess.lost,
    }
}

fn advice(survey: &Survey<'_>, id: ElementId, excess: &Excess) -> String {
    let over = excess.power.in_volt_amperes() - excess.limit.in_volt_amperes();
    // To ten volt-amperes, upwards, so that what is moved is enough.
    let much = volt_amperes((over / 10.0).ceil() * 10.0);
    if let Part::Line(pole) = excess.part {
        return format!(
            "Move at least {} from {} to the other lines.",
            much.show(),
            pole.word()
        );
    }
    let graph = survey.graph;
    let feed = |id: ElementId| {
        graph
            .supply_of(id)
            .and_then(|supply| survey.model.supplies[supply].feed.get())
    };
    let others = survey
        .model
        .supplies
        .iter()
        .filter_map(|(supply, _)| Some((graph.supply(supply)?, supply)));
    let others = others
        .filter(|(other, _)| *other != id && feed(*other).is_some() && feed(*other) == feed(id));
    let with_room =
        others.filter_map(|(other, supply)| Some((other, room(survey, other, supply)?)));
    let best = with_room
        .filter(|(_, room)| *room >= much)
        .reduce(|a, b| if b.1 > a.1 { b } else { a });
    match best {
        Some((other, room)) => format!(
            "Move at least {} of load to {} on the same feed, which has room for {} even in its worst state.",
            much.show(),
            survey.describe(other),
            room.show()
        ),
        None => format!(
            "Take at least {} of load off, or put in a supply of larger capacity.",
            much.show()
        ),
    }
}

/// The open point of a supply whose capacity nobody gives.
fn capacity_missing(
    rule: &Rule,
    survey: &Survey<'_>,
    id: ElementId,
    supply: Id<Supply>,
) -> Option<Finding> {
    let own = &survey.model.supplies[supply];
    let power = survey.flows.normal_power(survey.graph, id);
    let is_loaded = !power.is_zero() || survey.flows.unknown_below(id).is_some();
    let at = field_or_name(&own.capacity, &own.name);
    let what = survey.describe(id);
    is_loaded.then(|| {
        Draft::new(
            rule,
            format!("whether {what} is overloaded cannot be said: its capacity is missing"),
            at,
            "not decided: the capacity is missing",
            basis(Part::Whole),
        )
        .working([format!("the known loads make {}", power.show())])
        .about([survey.full_name(id)])
        .kind("limit-missing")
        .advice(format!(
            "Read the capacity off {what}, in VA or kVA, and write it down here."
        ))
        .open()
        .finish()
    })
}
