//! What a supply can still deliver.

use crate::analysis::Analysis;
use crate::graph::ElementId;
use crate::model::circuits::Supply;
use crate::model::value::Id;
use crate::quantity::{ApparentPower, InUnits, volt_amperes};

/// What a supply can still deliver in its worst state; `None` where that is not known.
pub fn room(analysis: &Analysis<'_>, id: ElementId, supply: Id<Supply>) -> Option<ApparentPower> {
    let capacity = analysis.model.supplies[supply]
        .capacity
        .known()?
        .in_volt_amperes();
    let (worst, _) = analysis.flows.worst_power(supply);
    let is_known = !analysis.more_is_delivered(id);
    is_known.then(|| volt_amperes((capacity - worst.in_volt_amperes()).max(0.0)))
}
