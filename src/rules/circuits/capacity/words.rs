//! What is said of an overloaded supply, and of one whose capacity is missing.

use crate::analysis::{Analysis, field_or_name};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding, Level, Measure};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Pole, Supply};
use crate::model::value::{Id, Spanned};
use crate::quantity::{ApparentPower, Quantity, show_pair};
use crate::rules::circuits::contribution;
use crate::rules::circuits::moved::moved;
use crate::rules::circuits::way::{self, Carried};
use crate::rules::{Draft, Rule};

use super::{ahead, relief, working};
use crate::analysis::excess::{Excess, Part};

pub(super) fn finding(
    rule: &Rule,
    analysis: &Analysis<'_>,
    id: ElementId,
    capacity: &Spanned<ApparentPower>,
    excess: &Excess,
) -> Finding {
    let (shown, most) = show_pair(excess.power, excess.limit);
    let supply = analysis.describe(id);
    let taps = ahead::taps(analysis, id, excess.lost);
    let devices = contribution::a_few(analysis, &contribution::distinct(&taps));
    let after = way::after(analysis, excess.lost);
    let headline = match excess.part {
        Part::Whole => format!(
            "{supply} delivers {shown}{after}, and its capacity is {most}: it overheats or shuts down, which cuts this feed to {devices}"
        ),
        Part::Line(pole) => format!(
            "{supply} delivers {shown} on {} alone{after}, and that line's part of its capacity is {most}: it overheats or shuts down, which cuts this feed to {devices}",
            pole.word()
        ),
    };
    let carried = carried(analysis, id, excess);
    let feeding = match analysis.graph.kind(id) {
        ElementKind::Supply(supply) if analysis.graph.feeds_supplies(id) => Some(supply),
        _ => None,
    };
    let mut working = match (excess.part, feeding) {
        (Part::Whole, Some(supply)) => {
            ahead::working(analysis, (id, supply), excess.lost, excess.power)
        }
        (Part::Whole, None) => working::whole(analysis, &taps, excess.power),
        (Part::Line(_), _) => working::one_line(analysis, &carried, excess, capacity.value),
    };
    working.extend(moved(analysis, &carried));
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
        .below(feeding.map_or_else(
            || way::below(analysis, &carried),
            |supply| ahead::places(analysis, supply),
        ))
        .working(working)
        .advice(relief::advice(analysis, id, excess))
        .measured(Measure::above(excess.power, excess.limit))
        .about([analysis.full_name(id)])
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
fn carried(analysis: &Analysis<'_>, id: ElementId, excess: &Excess) -> Carried {
    let flows = analysis.flows;
    let worst = match (excess.part, excess.lost) {
        (Part::Line(pole), Some(_)) => flows.worst_on(analysis.graph, id, pole),
        (_, Some(_)) => flows.worst(analysis.graph, id),
        (_, None) => flows.normal(analysis.graph, id),
    };
    Carried {
        id,
        pole: worst.map_or(Pole::L1, |worst| worst.pole),
        current: worst.map_or(crate::quantity::amperes(0.0), |worst| worst.current),
        lost: excess.lost,
    }
}

/// Whether all that leaves a supply is a landlord's, who answers for it up to what is contracted.
fn is_landlords(analysis: &Analysis<'_>, supply: Id<Supply>) -> bool {
    let circuits = analysis.model.circuits.iter();
    let mut own = circuits.filter(|(circuit, _)| {
        analysis.graph.links.circuit_supplies[circuit.index()] == Some(supply)
    });
    analysis.graph.behind(supply).is_empty()
        && own.all(|(_, circuit)| {
            let contract = circuit.landlords().map(|figures| &figures.contracted);
            contract.is_some_and(|contract| contract.given().is_some())
        })
}

/// The open point of a supply whose capacity nobody gives.
pub(super) fn capacity_missing(
    rule: &Rule,
    analysis: &Analysis<'_>,
    id: ElementId,
    supply: Id<Supply>,
) -> Option<Finding> {
    let own = &analysis.model.supplies[supply];
    let power = analysis.flows.normal_power(analysis.graph, id);
    let is_loaded = !power.is_zero() || analysis.flows.unsummed_below(id).is_some();
    let at = field_or_name(&own.capacity, &own.name);
    let what = analysis.describe(id);
    (is_loaded && !is_landlords(analysis, supply)).then(|| {
        Draft::new(
            rule,
            format!("is {what} overloaded? Missing: its capacity (nameplate)"),
            at,
            "not decided: the capacity is missing",
            basis(Part::Whole),
        )
        .working([format!("the known loads make {}", power.show())])
        .about([analysis.full_name(id)])
        .kind("limit-missing")
        .advice(format!(
            "Read the capacity off {what}, in VA or kVA, and write it down here."
        ))
        .wants([Fact::of(own, "capacity", Some(&own.capacity))])
        .finish()
    })
}
