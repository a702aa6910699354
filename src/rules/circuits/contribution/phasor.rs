//! Adding currents that are not in step, in words that can be followed by hand.

use num_complex::Complex64;

use crate::flow::network::Sequence;
use crate::graph::ElementId;
use crate::model::circuits::Pole;
use crate::quantity::{Arrangement, Quantity, amperes};
use crate::survey::Survey;

/// Angles closer than this count as the same, in radians.
const SAME: f64 = 1e-6;

/// By how much the voltage from `pole` to `other` leads that from `pole` to the neutral point, in
/// radians; seen from the neutral, where the other pole itself stands.
pub fn lead(
    survey: &Survey<'_>,
    id: ElementId,
    sequence: Sequence,
    pole: Pole,
    other: Pole,
) -> f64 {
    let supply = survey.graph.supply_of(id);
    let system = supply.and_then(|supply| survey.model.supplies[supply].system.get());
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

/// Whether hands need the angles: not where all are in step, and not where one of the two formulas holds.
pub fn needs_angles(terms: &[Complex64]) -> bool {
    !in_step(terms) && by_formula(terms).is_none()
}

/// A current, with its angle where that matters: `5.87 A at 11.8°`.
pub fn show(current: Complex64, with_angle: bool) -> String {
    let size = amperes(current.norm()).show();
    if !with_angle {
        return size;
    }
    let degrees = current.arg().to_degrees();
    let degrees = if degrees.abs() < 0.05 { 0.0 } else { degrees };
    format!("{size} at {degrees:.1}°")
}

/// The sum on a pole, in amperes, and the line that shows it; none for a single term.
pub fn sum(terms: &[Complex64], pole: Pole) -> (Option<String>, f64) {
    let total: Complex64 = terms.iter().sum();
    let total = total.norm();
    if terms.len() < 2 {
        return (None, total);
    }
    let pole = pole.word();
    let shown = amperes(total).show();
    let words = if in_step(terms) {
        let each: Vec<String> = terms.iter().map(|term| show(*term, false)).collect();
        format!("in step: {} = {shown}", each.join(" + "))
    } else if let Some(formula) = by_formula(terms) {
        format!("phasor sum on {pole}: {formula} = {shown}")
    } else {
        format!("phasor sum on {pole}: √((Σ I·cos)² + (Σ I·sin)²) = {shown}")
    };
    (Some(words), total)
}

fn in_step(terms: &[Complex64]) -> bool {
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
