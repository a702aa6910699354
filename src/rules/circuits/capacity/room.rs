//! What a supply can still deliver.

use crate::graph::ElementId;
use crate::model::circuits::Supply;
use crate::model::value::Id;
use crate::quantity::{ApparentPower, InUnits, volt_amperes};
use crate::survey::Survey;

/// What a supply can still deliver in its worst state; `None` where that is not known.
pub fn room(survey: &Survey<'_>, id: ElementId, supply: Id<Supply>) -> Option<ApparentPower> {
    let capacity = survey.model.supplies[supply]
        .capacity
        .known()?
        .in_volt_amperes();
    let (worst, _) = survey.flows.worst_power(supply);
    let is_known = survey.flows.unknown_below(id).is_none();
    is_known.then(|| volt_amperes((capacity - worst.in_volt_amperes()).max(0.0)))
}
