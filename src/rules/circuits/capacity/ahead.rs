//! A supply that others are fed from: what each of them takes, and what is not known of that.

use num_complex::Complex64;

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Place};
use crate::graph::{ElementId, ElementKind, Loss};
use crate::model::circuits::Supply;
use crate::model::value::{Id, Named};
use crate::quantity::{ApparentPower, Quantity, percent, volt_amperes, watts};
use crate::rules::circuits::contribution::{self, Tap};
use crate::rules::{Draft, Rule};

/// What all inlets below a supply take, and those below the supplies that are fed from it.
pub(super) fn taps(analysis: &Analysis<'_>, id: ElementId, lost: Option<Loss>) -> Vec<Tap> {
    let ElementKind::Supply(supply) = analysis.graph.kind(id) else {
        return contribution::taps(analysis, id, lost);
    };
    let supplies = analysis.graph.with_all_behind(vec![supply]).into_iter();
    let elements = supplies.filter_map(|supply| analysis.graph.supply(supply));
    elements
        .flat_map(|id| contribution::taps(analysis, id, lost))
        .collect()
}

/// Where the supplies that are fed from a supply say so.
pub(super) fn places(analysis: &Analysis<'_>, supply: Id<Supply>) -> Vec<Place> {
    let behind = analysis.graph.behind(supply).iter();
    let places = behind.map(|behind| {
        let own = &analysis.model.supplies[*behind];
        let at = own.from.span().unwrap_or(own.name.span);
        place(at, format!("feeds supply {}", own.name.value))
    });
    places.collect()
}

/// How the power of a supply that feeds others comes about: supply by supply, of loads alone.
pub(super) fn working(
    analysis: &Analysis<'_>,
    (id, supply): (ElementId, Id<Supply>),
    lost: Option<Loss>,
    delivered: ApparentPower,
) -> Vec<String> {
    let own = loads(analysis, id, lost);
    let mut lines = Vec::new();
    if own != Complex64::ZERO {
        lines.push(format!("its own circuits: {}", both(own)));
    }
    let mut sum = own;
    for &behind in analysis.graph.behind(supply) {
        let (taken, line) = taken(analysis, behind, lost);
        sum += taken;
        lines.extend(line);
    }
    let total = volt_amperes(sum.norm()).show();
    lines.push(format!("in all {} = {total}", both(sum)));
    if delivered.show() != total {
        let delivered = delivered.show();
        lines.push(format!(
            "with what is lost in wiring and cords: {delivered}"
        ));
    }
    lines
}

/// What a supply takes for the loads behind it, and how that comes about; nothing where it is lost itself.
fn taken(
    analysis: &Analysis<'_>,
    supply: Id<Supply>,
    lost: Option<Loss>,
) -> (Complex64, Option<String>) {
    let graph = analysis.graph;
    let is_dead = |id: ElementId| lost.is_some_and(|lost| graph.is_dead_after(id, lost));
    let Some(id) = graph.supply(supply).filter(|id| !is_dead(*id)) else {
        return (Complex64::ZERO, None);
    };
    let behind = graph.behind(supply).iter();
    let through: Complex64 = behind.map(|behind| taken(analysis, *behind, lost).0).sum();
    let delivered = loads(analysis, id, lost) + through;
    let (input, own) = (
        analysis.flows.input(supply),
        &analysis.model.supplies[supply],
    );
    let taken = input.takes(delivered);
    let mut how = format!("supply {}: {}", own.name.value, both(delivered));
    if let Some(efficiency) = input.efficiency.filter(|_| !input.passes_on()) {
        how += &format!(" ÷ {}", percent(100.0 * efficiency).show());
    }
    if let Some(recharge) = input.recharge.filter(|recharge| *recharge > 0.0) {
        how += &format!(", {} to charge its battery", watts(recharge).show());
    }
    if let Some(factor) = input.factor {
        how += &format!(", at a power factor of {factor}");
    }
    if !input.passes_on() || input.factor.is_some() {
        let at_least = match input.unknown(own).is_empty() {
            true => "",
            false => "at least ",
        };
        how += &format!(": takes {at_least}{}", both(taken));
    }
    (taken, Some(how))
}

fn loads(analysis: &Analysis<'_>, id: ElementId, lost: Option<Loss>) -> Complex64 {
    let taps = contribution::taps(analysis, id, lost);
    taps.iter().map(|tap| tap.power).sum()
}

/// `40 kW and 8 kvar`
fn both(power: Complex64) -> String {
    let reactive = volt_amperes(power.im).show().replace("VA", "var");
    match power.im == 0.0 {
        true => watts(power.re).show(),
        false => format!("{} and {reactive}", watts(power.re).show()),
    }
}

/// What is not known of what supplies take that are fed from a supply, one open point each.
pub(in crate::rules::circuits) fn gaps(
    rule: &Rule,
    analysis: &Analysis<'_>,
    source: Id<Supply>,
) -> Vec<Finding> {
    let graph = analysis.graph;
    let behind = graph.behind(source).iter().copied();
    let is_loaded = |supply: &Id<Supply>| {
        let unsummed = graph.supply(*supply);
        let unsummed = unsummed.and_then(|id| analysis.flows.unsummed_below(id));
        analysis.flows.delivered(*supply) != Complex64::ZERO || unsummed.is_some()
    };
    let open = behind.filter(is_loaded).filter_map(|supply| {
        let own = &analysis.model.supplies[supply];
        let keys = analysis.flows.input(supply).unknown(own);
        (!keys.is_empty()).then(|| gap(rule, analysis, (source, own), &keys))
    });
    open.collect()
}

fn gap(
    rule: &Rule,
    analysis: &Analysis<'_>,
    (source, own): (Id<Supply>, &Named<Supply>),
    keys: &[&'static str],
) -> Finding {
    let (name, ahead) = (&own.name.value, &analysis.model.supplies[source].name.value);
    let wanted = keys.iter().map(|key| match *key {
        "efficiency" => Fact::of(own, *key, Some(&own.efficiency)),
        "recharge" => Fact::of(own, *key, Some(&own.recharge)),
        _ => Fact::of(own, *key, Some(&own.input_power_factor)),
    });
    let quoted: Vec<String> = keys.iter().map(|key| format!("`{key}`")).collect();
    let headline = format!(
        "does supply {ahead} bear what supply {name} takes of it? Missing: {} of supply {name}",
        quoted.join(", ")
    );
    Draft::new(
        rule,
        headline,
        field_or_name(&own.efficiency, &own.name),
        format!("not decided: what supply {name} takes is not known"),
        Citation::marked("data sheet of the supply"),
    )
    .above(own.from.span().map(|at| place(at, format!("fed from supply {ahead}"))))
    .about([name.clone(), ahead.clone()])
    .kind("input-missing")
    .advice(format!(
        "Write what the data sheet of supply {name} says of its input; for a switchboard, `efficiency: 100 %` is all."
    ))
    .wants(wanted)
    .finish()
}
