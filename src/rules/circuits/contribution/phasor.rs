//! Adding currents that are not in step, in words that can be followed by hand.

use std::collections::BTreeMap;

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::flow::network::Sequence;
use crate::graph::ElementId;
use crate::model::circuits::Pole;
use crate::quantity::{Arrangement, Quantity, amperes};

use super::tap::Tap;

/// Angles closer than this count as the same, in radians.
const SAME: f64 = 1e-6;

/// What a load takes from `pole`, with `other` at its far side, in amperes, against the voltage from `pole`
/// to the neutral point.
pub fn current(
    analysis: &Analysis<'_>,
    id: ElementId,
    sequence: Sequence,
    tap: &Tap,
    (pole, other): (Pole, Pole),
) -> Complex64 {
    let lead = lead(analysis, id, sequence, pole, other);
    Complex64::from_polar(tap.amperes(), lead - tap.power.arg())
}

/// By how much the voltage from `pole` to `other` leads that from `pole` to the neutral point, in
/// radians; seen from the neutral, where the other pole itself stands.
pub fn lead(
    analysis: &Analysis<'_>,
    id: ElementId,
    sequence: Sequence,
    pole: Pole,
    other: Pole,
) -> f64 {
    let supply = analysis.graph.supply_of(id);
    let system = supply.and_then(|supply| analysis.model.supplies[supply].system.known());
    let third = match sequence {
        Sequence::Forward => std::f64::consts::TAU / 3.0,
        Sequence::Reverse => -std::f64::consts::TAU / 3.0,
    };
    let is_two_phase = system.is_none_or(|system| {
        matches!(
            system.arrangement,
            Arrangement::Single | Arrangement::SplitPhase
        )
    });
    match (pole, other) {
        // Seen from the neutral of a split phase, the lines stand opposite each other.
        (Pole::N, line) if is_two_phase => std::f64::consts::PI * line.index() as f64,
        (Pole::N, line) => -third * line.index() as f64,
        (_, Pole::N) => 0.0,
        _ if is_two_phase => 0.0,
        (line, other) if (line.index() + 1) % 3 == other.index() => third / 4.0,
        _ => -third / 4.0,
    }
}

/// Whether hands need the two parts of each current: not where all are in phase, and not where one of
/// the formulas holds.
pub fn needs_parts(terms: &[Complex64]) -> bool {
    !in_phase(terms) && by_formula(terms).is_none()
}

/// How each current comes apart; `turns` are the pairs of poles with the degrees by which their voltage
/// leads that of the pole.
pub fn how_parts(turns: BTreeMap<String, f64>) -> String {
    let words = "in phase: I × cos φ; lagging: I × sin φ; cos φ is the power factor".to_owned();
    turns
        .into_iter()
        .fold(words, |words, (pair, degrees)| match degrees.round() {
            0.0 => words,
            lead if lead > 0.0 => format!("{words}; {pair}: φ less {lead}°"),
            lead => format!("{words}; {pair}: φ plus {}°", -lead),
        })
}

/// A current in two parts that a pocket calculator gives: `5.87 A: 5.75 A in phase with L1, 1.2 A leading`.
pub fn show_parts(current: Complex64, pole: Pole) -> String {
    let side = if current.im > 0.0 {
        "leading"
    } else {
        "lagging"
    };
    format!(
        "{}: {} in phase with {}, {} {side}",
        show(current.norm()),
        show(current.re),
        reference(pole),
        show(current.im.abs())
    )
}

/// The pole whose voltage the parts refer to; of a neutral the first line.
fn reference(pole: Pole) -> &'static str {
    match pole {
        Pole::N => Pole::L1.word(),
        line => line.word(),
    }
}

fn show(size: f64) -> String {
    // What the rounding of angles leaves is nothing.
    amperes(if size.abs() < 5e-5 { 0.0 } else { size }).show()
}

/// The sum on a pole, in amperes, and the lines that show it; none for a single term.
pub fn sum(terms: &[Complex64], pole: Pole) -> (Vec<String>, f64) {
    let total: Complex64 = terms.iter().sum();
    let size = total.norm();
    if terms.len() < 2 {
        return (Vec::new(), size);
    }
    let (word, shown) = (pole.word(), show(size));
    let lines = if in_phase(terms) {
        let each = added(terms.iter().map(|term| term.norm()));
        vec![format!("in phase: {each} = {shown}")]
    } else if let Some(formula) = by_formula(terms) {
        vec![format!("phasor sum on {word}: {formula} = {shown}")]
    } else {
        let (phase, lag) = (show(total.re), show(-total.im));
        vec![
            format!(
                "in phase: {} = {phase}",
                added(terms.iter().map(|term| term.re))
            ),
            format!(
                "lagging: {} = {lag}",
                added(terms.iter().map(|term| -term.im))
            ),
            format!("phasor sum on {word}: √(({phase})² + ({lag})²) = {shown}"),
        ]
    };
    (lines, size)
}

/// `8.2 A + 3.1 A − 1 A`
fn added(numbers: impl Iterator<Item = f64>) -> String {
    let terms = numbers.enumerate().map(|(place, number)| {
        let sign = match (place, number < 0.0) {
            (0, false) => "",
            (0, true) => "−",
            (_, false) => " + ",
            (_, true) => " − ",
        };
        format!("{sign}{}", show(number.abs()))
    });
    terms.collect()
}

fn in_phase(terms: &[Complex64]) -> bool {
    let Some(first) = terms.first() else {
        return true;
    };
    terms.iter().all(|term| (term / first).arg().abs() < SAME)
}

/// Two currents at 60°, as in a delta of equal power factors, or up to three at 120°, as in a neutral.
fn by_formula(terms: &[Complex64]) -> Option<String> {
    let mut sides: Vec<Complex64> = Vec::new();
    for term in terms {
        match sides
            .iter_mut()
            .find(|side| (term / **side).arg().abs() < SAME)
        {
            Some(side) => *side += term,
            None => sides.push(*term),
        }
    }
    let is_apart = |a: Complex64, b: Complex64, degrees: f64| {
        ((a / b).arg().abs() - degrees.to_radians()).abs() < SAME
    };
    let i = |side: &Complex64| {
        let shown = amperes(side.norm()).show();
        shown.strip_suffix(" A").map(str::to_owned)
    };
    match sides.as_slice() {
        [a, b] if is_apart(*a, *b, 60.0) => {
            let (a, b) = (i(a)?, i(b)?);
            Some(format!("√({a}² + {b}² + {a} × {b})"))
        }
        [a, b] if is_apart(*a, *b, 120.0) => {
            let (a, b) = (i(a)?, i(b)?);
            Some(format!("√({a}² + {b}² − {a} × {b})"))
        }
        [a, b, c]
            if is_apart(*a, *b, 120.0) && is_apart(*b, *c, 120.0) && is_apart(*a, *c, 120.0) =>
        {
            let (a, b, c) = (i(a)?, i(b)?, i(c)?);
            Some(format!(
                "√({a}² + {b}² + {c}² − {a} × {b} − {b} × {c} − {c} × {a})"
            ))
        }
        _ => None,
    }
}
