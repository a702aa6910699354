//! What a supply lacks for want of which nobody knows what a short circuit behind it draws.

use crate::analysis::field_or_name;
use crate::finding::Fact;
use crate::model::circuits::Supply;
use crate::model::value::Named;
use crate::source::Span;

/// What is missing, where it should stand, and what to write.
pub(super) struct SourceLack {
    pub span: Span,
    /// After `Missing:`.
    pub what: &'static str,
    /// Short, for the note there.
    pub note: &'static str,
    pub advice: &'static str,
    pub wants: Vec<Fact>,
}

const CURRENT: &str = "Find the prospective fault current at the supply: measured, or from the utility or the maker of the UPS. Write it as `fault-current`.";
const SYSTEM: &str = "Read lines and voltages off the supply's rating plate and write them as its `system`, like `3/N/PE ~ 400/230 V 50 Hz`.";
const BOTH: &str = "Find the prospective fault current at the supply: measured, or from the utility or the maker of the UPS. Write it as `fault-current`, and lines and voltages as `system`.";

/// Of fault current and system of a supply what is not known; what is written is never asked for.
pub(super) fn source_lack(supply: &Named<Supply>) -> SourceLack {
    let current = || Fact::of(supply, "fault-current", Some(&supply.fault_current));
    let system = || Fact::of(supply, "system", Some(&supply.system));
    let lacks_system = supply.system.known().is_none();
    if supply.fault_current.known().is_some() {
        return SourceLack {
            span: field_or_name(&supply.system, &supply.name),
            what: "its system, with lines and voltages (rating plate)",
            note: "its system is not known",
            advice: SYSTEM,
            wants: vec![system()],
        };
    }
    SourceLack {
        span: field_or_name(&supply.fault_current, &supply.name),
        what: "how much current it can drive into one",
        note: "the prospective fault current is missing",
        advice: if lacks_system { BOTH } else { CURRENT },
        wants: match lacks_system {
            true => vec![current(), system()],
            false => vec![current()],
        },
    }
}
