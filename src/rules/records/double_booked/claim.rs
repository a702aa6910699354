//! Who claims a place, and that two do.

use crate::analysis::place;
use crate::finding::Finding;
use crate::model::value::Name;
use crate::rules::Draft;
use crate::rules::records::written;
use crate::source::Span;

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
    let (has, takes, danger) = match what {
        "outlet" => (
            "plugs",
            "takes one",
            "one loads a breaker that nobody knows",
        ),
        "connector" => (
            "plugs",
            "takes one",
            "one hangs on a breaker that nobody knows",
        ),
        "plug of cord" => (
            "places",
            "is in one",
            "if the other is live, so is this cord: prove dead at both",
        ),
        "inlet" => (
            "cords",
            "takes one",
            "opening the breaker on record may leave it live: prove dead",
        ),
        _ => (
            "feeds",
            "has one plug",
            "if both are real, its contacts stay live when one breaker opens: prove dead at both",
        ),
    };
    let headline = format!(
        "{what} {name} has two {has} on record, {} and {}, and {takes}. One record is wrong; {danger}",
        first.who, again.who
    );
    let advice = match what {
        "plug of cord" => format!(
            "Follow cord {name} by hand, and correct its `from`, or the `to` that names it."
        ),
        _ => format!(
            "Follow both by hand from end to end, and correct the one that does not end at {what} {name}."
        ),
    };
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
