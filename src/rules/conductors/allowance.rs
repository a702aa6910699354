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

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Fact;
use crate::graph::{ElementId, ElementKind};
use crate::model::value::Name;
use crate::quantity::Current;
use crate::tables::Practice;

use super::gaps::Gap;

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
    },
}

fn refused(why: impl Into<String>) -> Allowance {
    Allowance::Refused { why: why.into() }
}

/// What a cord feeds limits it, or has a listing: who does not know the one cannot tell the other.
fn where_it_leads(analysis: &Analysis<'_>, id: ElementId) -> Option<Allowance> {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = analysis.graph.kind(id) else {
        return None;
    };
    if analysis.leads_on(id) {
        return None;
    }
    let item = &analysis.model.cords[cord];
    let fact = Fact::of(item, "to", Some(&item.to));
    let gap = Gap {
        about: item.name.value.clone(),
        kind: "end",
        span: fact.span,
        headline: format!(
            "can an overload burn {}? Not known: what it feeds",
            analysis.describe(id)
        ),
        missing: "what it feeds is not known".to_owned(),
        basis: Citation::common_practice("what a cord feeds says what it may have to carry"),
        advice: "Follow it on site, and write what it feeds by a name that is in the definitions."
            .to_owned(),
        wants: vec![fact],
    };
    Some(Allowance::Open(Box::new(gap), None))
}

/// Whether a device of `rating` may stand ahead of a conductor that carries less.
pub(super) fn of(
    analysis: &Analysis<'_>,
    practice: Practice,
    id: ElementId,
    rating: Current,
    capacity: Current,
) -> Allowance {
    if let Some(open) = where_it_leads(analysis, id) {
        return open;
    }
    match (analysis.graph.kind(id), practice) {
        (ElementKind::Pdu(_), Practice::Iec) => far_end(analysis, id, capacity),
        (ElementKind::Pdu(_), Practice::Nec) => input_cord(analysis, id, rating, capacity),
        (ElementKind::Cord(_) | ElementKind::Leg(..), Practice::Iec) => {
            limited_by_load(analysis, id, capacity)
        }
        (ElementKind::Cord(_) | ElementKind::Leg(..), Practice::Nec) => {
            listed(analysis, id, rating)
        }
        _ => refused("nothing allows a larger device ahead of fixed wiring"),
    }
}
