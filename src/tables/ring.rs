//! Ring final circuits: what a ring of sockets for fused plugs carries as a whole.

use crate::citation::{Citation, Cited, Confidence};
use crate::quantity::{ConductorSize, Current, InUnits, amperes, square_millimetres};

/// What a ring carries whose conductors carry `each` by themselves; `None` where the rule does not hold for
/// it: conductors of less than 2.5 mm², or that carry less than 20 A as they lie.
pub fn carries(each: Current, size: ConductorSize) -> Option<Cited<Current>> {
    let is_thick = size.area() >= square_millimetres(2.5) * (1.0 - 1e-9);
    let is_strong = each.in_amperes() >= 20.0 * (1.0 - 1e-9);
    (is_thick && is_strong).then(|| Cited {
        value: amperes(32.0),
        citation: rule(),
    })
}

/// The rule that lets a ring stand behind 32 A.
fn rule() -> Citation {
    Citation::new(
        "BS 7671",
        "433.1.204 (ring final circuits of BS 1363 accessories)",
        "2018",
        Confidence::TwoCopies,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// BS 7671 433.1.204: 30 A or 32 A, 2.5 mm² copper at least, each leg 20 A at least.
    #[test]
    fn a_ring_is_as_strong_as_the_rule_has_it() {
        let of = |each, size| {
            carries(
                amperes(each),
                ConductorSize::Metric(square_millimetres(size)),
            )
        };
        assert_eq!(of(20.0, 2.5).map(|ring| ring.value), Some(amperes(32.0)));
        assert_eq!(of(27.0, 4.0).map(|ring| ring.value), Some(amperes(32.0)));
        assert!(of(19.9, 2.5).is_none() && of(24.0, 1.5).is_none());
    }
}
