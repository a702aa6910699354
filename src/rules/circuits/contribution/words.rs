//! The lines of a sum of currents, each to be redone by hand.

use crate::flow::low_end::LowEnd;
use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::model::circuits::Pole;
use crate::quantity::{
    Current, InUnits, Quantity, amperes, percent, show_load, volt_amperes, volts, watts,
};

use super::group::{Group, is_same};
use super::phasor;
use super::tap::{Tap, lowest, stated_in_watts, whole_load};

/// The voltages that the groups hang on: `supply: 230 V less 10 % = 207 V`.
pub(super) fn voltages(analysis: &Analysis<'_>, groups: &[Group], has_pairs: bool) -> Vec<String> {
    let mut seen: Vec<(f64, String)> = Vec::new();
    for group in groups {
        let (at, neutral) = (
            group.first.volts,
            group.other == Pole::N || group.first.poles.1 == Pole::N,
        );
        if seen.iter().any(|(volts, _)| is_same(*volts, at)) {
            continue;
        }
        let nominal = nominal(analysis, &group.first, neutral);
        let between = match (has_pairs, neutral) {
            (false, _) => "",
            (true, true) => ", line to neutral",
            (true, false) => ", line to line",
        };
        let words = format!(
            "supply{between}: {nominal} less {} = {}",
            LowEnd::of(&analysis.model.site).shown(),
            volts(at).show()
        );
        seen.push((at, words));
    }
    seen.into_iter().map(|(_, words)| words).collect()
}

/// The voltage that a load hangs on without the tolerance; between two of three lines as it comes from
/// that to neutral.
fn nominal(analysis: &Analysis<'_>, tap: &Tap, to_neutral: bool) -> String {
    let own = tap.volts / lowest(analysis);
    let shown = volts(own).show();
    let graph = analysis.graph;
    // At the supply itself no load has taken its part of the voltage.
    let supply = graph
        .supply_of(tap.element)
        .and_then(|own| graph.supply(own));
    let line = supply.and_then(|at| analysis.flows.voltage_to_neutral(graph, at, tap.poles.0));
    let line = line.map(|line| line.in_volts() / lowest(analysis));
    match line.filter(|line| !to_neutral && is_same(line * 3f64.sqrt(), own)) {
        Some(line) => format!("√3 × {} = {shown}", volts(line).show()),
        None => shown,
    }
}

/// `12 × 210 W ÷ (207 V × 0.97) = 12.55 A`
pub(super) fn line(
    analysis: &Analysis<'_>,
    group: &Group,
    pole: Pole,
    has_pairs: bool,
    is_in_parts: bool,
) -> String {
    let tap = &group.first;
    let volts = volts(tap.volts).show();
    let factor = tap.power.re / tap.power.norm();
    let (power, by) = if stated_in_watts(analysis, tap.device) {
        let factor = (factor * 1e4).round() / 1e4;
        (
            show_load(watts(tap.power.re)),
            format!("({volts} × {factor})"),
        )
    } else {
        (show_load(volt_amperes(tap.power.norm())), volts)
    };
    let pair = if has_pairs {
        format!("{}: ", group.pair(pole))
    } else {
        String::new()
    };
    let times = if group.count > 1 {
        format!("{} × ", group.count)
    } else {
        String::new()
    };
    let current = part_words(group.current, pole, is_in_parts);
    let part = part(analysis, group);
    let least = match analysis.flows.loads.device(tap.device).basis {
        Ok(_) => "",
        Err(_) => ", at the least: the power factor is missing",
    };
    format!("{pair}{times}{power} ÷ {by} = {current}{part}{least}")
}

/// A current as a whole, or in phase and lagging apart.
pub(super) fn part_words(current: Complex64, pole: Pole, is_in_parts: bool) -> String {
    if is_in_parts {
        phasor::show_parts(current, pole)
    } else {
        amperes(current.norm()).show()
    }
}

/// Which part of its device's load an inlet takes, where that is not all of it.
fn part(analysis: &Analysis<'_>, group: &Group) -> String {
    let share = group.first.power.norm() / whole_load(analysis, group.first.device).norm();
    if (share - 1.0).abs() < 1e-9 {
        return String::new();
    }
    // A transfer switch brings more than its own.
    if share > 1.0 {
        return " (with what hangs behind it)".to_owned();
    }
    let each = if group.count > 1 {
        "each load"
    } else {
        "the load"
    };
    format!(" ({} of {each})", percent(share * 100.0).show())
}

/// The line that tells what the voltage drop of the cords adds, where it shows.
pub fn drop(sum: f64, actual: Current) -> Option<String> {
    let actual = actual.show();
    (amperes(sum).show() != actual)
        .then(|| format!("with the voltage drop of wiring and cords: {actual}"))
}
