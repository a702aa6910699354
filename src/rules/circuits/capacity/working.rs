//! How the power that a supply delivers comes about.

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::quantity::{ApparentPower, InUnits, Quantity, show_load, volt_amperes, watts};

use super::super::contribution::{self, Tap, count};
use super::super::way::Carried;
use crate::analysis::excess::Excess;

/// How the power of the whole comes about: alike loads together, then watts and vars apart.
pub(super) fn whole(
    analysis: &Analysis<'_>,
    taps: &[Tap],
    delivered: ApparentPower,
) -> Vec<String> {
    const SHOWN: usize = 3;
    let mut groups: Vec<(Complex64, Vec<&Tap>)> = Vec::new();
    for tap in taps {
        match groups.iter_mut().find(|(power, _)| *power == tap.power) {
            Some((_, alike)) => alike.push(tap),
            None => groups.push((tap.power, vec![tap])),
        }
    }
    groups.sort_by(|a, b| {
        (b.0.norm() * b.1.len() as f64).total_cmp(&(a.0.norm() * a.1.len() as f64))
    });
    let (shown, others) = groups.split_at(groups.len().min(SHOWN));
    let mut lines: Vec<String> = shown
        .iter()
        .map(|(power, alike)| alike_loads(analysis, *power, alike))
        .collect();
    if !others.is_empty() {
        let more: Vec<Tap> = others
            .iter()
            .flat_map(|(_, alike)| alike.iter().map(|tap| **tap))
            .collect();
        let power: Complex64 = more.iter().map(|tap| tap.power).sum();
        let devices = contribution::distinct(&more).len();
        lines.push(format!(
            "and {}: {}",
            count(devices, "more device"),
            volt_amperes(power.norm()).show()
        ));
    }
    let total: Complex64 = taps.iter().map(|tap| tap.power).sum();
    let (active, sum) = (watts(total.re).show(), volt_amperes(total.norm()).show());
    let reactive = volt_amperes(total.im).show().replace("VA", "var");
    lines.push(format!("in all √(({active})² + ({reactive})²) = {sum}"));
    let delivered = delivered.show();
    if delivered != sum {
        lines.push(format!(
            "with what is lost in wiring and cords: {delivered}"
        ));
    }
    lines
}

/// `12 × 210 W ÷ 0.97 = 2.598 kVA`
fn alike_loads(analysis: &Analysis<'_>, power: Complex64, alike: &[&Tap]) -> String {
    let times = if alike.len() > 1 {
        format!("{} × ", alike.len())
    } else {
        String::new()
    };
    let sum = volt_amperes(power.norm() * alike.len() as f64).show();
    let is_in_watts = alike
        .first()
        .is_some_and(|tap| contribution::stated_in_watts(analysis, tap.device));
    if is_in_watts {
        let factor = (power.re / power.norm() * 1e4).round() / 1e4;
        format!("{times}{} ÷ {factor} = {sum}", show_load(watts(power.re)))
    } else {
        format!("{times}{} = {sum}", show_load(volt_amperes(power.norm())))
    }
}

/// How the power of one line comes about, and the line's part of the capacity.
pub(super) fn one_line(
    analysis: &Analysis<'_>,
    carried: &Carried,
    excess: &Excess,
    capacity: ApparentPower,
) -> Vec<String> {
    let (mut lines, sum) = contribution::lines(analysis, carried.id, carried.pole, carried.lost);
    lines.extend(contribution::drop(sum, carried.current));
    if let Some(volts) = analysis
        .flows
        .voltage_to_neutral(analysis.graph, carried.id, carried.pole)
    {
        lines.push(format!(
            "{} × {} = {}",
            volts.show(),
            carried.current.show(),
            excess.power.show()
        ));
    }
    let number = (capacity.in_volt_amperes() / excess.limit.in_volt_amperes()).round();
    lines.push(format!(
        "limit: {} ÷ {number} lines = {}",
        capacity.show(),
        excess.limit.show()
    ));
    lines
}
