//! Where rules let a breaker stand ahead of a coupler that is rated for less.

use crate::analysis::exceeds;
use crate::citation::Cited;
use crate::model::circuits::Circuit;
use crate::model::text::CouplerRef;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::tables::{Practice, constants};

/// The rating of a circuit's breaker, and where it stands.
pub(super) fn breaker(circuit: &Circuit) -> Option<&Spanned<Current>> {
    circuit.breaker.known()?.rating.given()
}

/// The rating that a breaker of this size may stand ahead of, where rules allow less than its own.
pub(super) fn allowed_below(
    practice: Practice,
    breaker: Current,
    coupler: CouplerRef,
    is_shared: bool,
) -> Option<Cited<Current>> {
    match practice {
        Practice::Nec if is_shared => constants::receptacle_on_circuit(breaker),
        Practice::Iec if coupler.fused => {
            constants::fused_socket_circuit().filter(|most| !exceeds(breaker, most.value))
        }
        _ => None,
    }
}
