//! Where a device larger than the conductor's capacity is allowed after all.
//!
//! IEC: a device ahead may be left out for a conductor that its load cannot overload (433.3.1 b), and
//! may stand at the far end of the run (433.2.2). A cord to one piece of equipment is the everyday
//! case: the equipment's rated current limits it, and the device ahead is there for short circuits
//! alone. A cord that ends at outlets is no such case.
//!
//! NEC: a listed cord set used with a listed appliance counts as protected within its listing
//! (240.5(B)(1) and (3)): on a branch circuit that its plug is made for. Without a listing 240.5(A)
//! stands.

mod iec;
mod nec;

use crate::graph::{ElementId, ElementKind};
use crate::model::value::Name;
use crate::quantity::Current;
use crate::survey::Survey;
use crate::tables::Practice;

use super::super::gaps::Gap;

use iec::{far_end, limited_by_load};
use nec::{input_cord, listed};

/// Whether the larger device is allowed.
pub(super) enum Allowance {
    /// It is.
    Granted,
    /// A fact is missing for it; and who suffers from that, where many share the thing that lacks it.
    Open(Box<Gap>, Option<Name>),
    /// It is not.
    Refused {
        /// Why not, a line for the arithmetic.
        why: String,
        /// Whether the run is part of a product whose listing may cover it.
        is_mild: bool,
    },
}

fn refused(why: impl Into<String>) -> Allowance {
    Allowance::Refused {
        why: why.into(),
        is_mild: false,
    }
}

/// Whether a device of `rating` may stand ahead of a conductor that carries less.
pub(super) fn of(
    survey: &Survey<'_>,
    practice: Practice,
    id: ElementId,
    rating: Current,
    capacity: Current,
) -> Allowance {
    match (survey.graph.kind(id), practice) {
        (ElementKind::Pdu(_), Practice::Iec) => far_end(survey, id, capacity),
        (ElementKind::Pdu(_), Practice::Nec) => input_cord(survey, id, capacity),
        (ElementKind::Cord(_) | ElementKind::Leg(..), Practice::Iec) => {
            limited_by_load(survey, id, capacity)
        }
        (ElementKind::Cord(_) | ElementKind::Leg(..), Practice::Nec) => listed(survey, id, rating),
        _ => refused("nothing allows a larger device ahead of fixed wiring"),
    }
}
