//! Who claims a place, and that two do.

use crate::finding::Finding;
use crate::model::value::Name;
use crate::rules::Draft;
use crate::rules::records::written;
use crate::source::Span;
use crate::survey::place;

use super::RULE;

/// Who claims a place, and where it says so.
#[derive(Clone)]
pub(super) struct Claim {
    pub who: String,
    pub name: Name,
    pub span: Span,
}

pub(super) fn booked_twice(
    what: &'static str,
    name: &Name,
    first: &Claim,
    again: &Claim,
) -> Finding {
    let one = match what {
        "outlet" => "takes one plug",
        "inlet" => "takes one connector",
        _ => {
            "has one plug; fed from two sides, its contacts stay live when one side is switched off"
        }
    };
    let headline = format!(
        "{what} {name} is booked by {} and by {}, but it {one}: where one of them really goes, and what it loads, is not known",
        first.who, again.who
    );
    let advice =
        format!("Follow both on site, and correct the one that does not go to {what} {name}.");
    Draft::new(
        &RULE,
        headline,
        again.span,
        again.who.clone(),
        written::format(),
    )
    .above([place(first.span, first.who.clone())])
    .about([again.name.clone(), first.name.clone(), name.clone()])
    .kind(what)
    .advice(advice)
    .finish()
}

pub(super) fn cord_claim(name: &Name, span: Span) -> Claim {
    Claim {
        who: format!("cord {name}"),
        name: name.clone(),
        span,
    }
}

pub(super) fn pdu_claim(name: &Name, span: Span) -> Claim {
    Claim {
        who: format!("the plug of PDU {name}"),
        name: name.clone(),
        span,
    }
}
