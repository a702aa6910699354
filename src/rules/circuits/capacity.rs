//! Is a supply loaded beyond its capacity, as a whole or on one line?

mod ahead;
mod relief;
mod room;
mod words;
mod working;

use crate::analysis::Analysis;
use crate::finding::{Finding, Measure};
use crate::graph::ElementId;
use crate::model::circuits::Supply;
use crate::model::value::Id;
use crate::rules::Rule;

use crate::analysis::excess::{Part, normal, worst};
use words::{capacity_missing, finding};

pub(in crate::rules::circuits) use ahead::gaps;
pub use room::room;

/// Judges a supply in the normal state. A missing load is left to the caller.
pub fn judge_normal(
    rule: &Rule,
    analysis: &Analysis<'_>,
    id: ElementId,
    supply: Id<Supply>,
) -> Option<Finding> {
    match analysis.model.supplies[supply].capacity.given() {
        Some(capacity) => {
            let excess = normal(analysis, id, capacity.value)?;
            let mut finding = finding(rule, analysis, id, capacity, &excess);
            // A loss may make it grow without any other finding.
            let worst = worst(analysis, id, supply, capacity.value);
            let worst = worst.filter(|worst| worst.power > excess.power);
            if let Some(worst) = worst {
                finding.measure = Some(Measure::above(worst.power, worst.limit));
            }
            Some(finding)
        }
        None => capacity_missing(rule, analysis, id, supply),
    }
}

/// Judges a supply in its worst state, where that is worse than the normal one. A missing load is
/// left to the caller.
pub fn judge_worst(
    rule: &Rule,
    analysis: &Analysis<'_>,
    id: ElementId,
    supply: Id<Supply>,
) -> Option<Finding> {
    let Some(capacity) = analysis.model.supplies[supply].capacity.given() else {
        return capacity_missing(rule, analysis, id, supply);
    };
    let worst = worst(analysis, id, supply, capacity.value)?;
    let before = normal(analysis, id, capacity.value);
    let is_worse = before
        .is_none_or(|before| matches!((before.part, worst.part), (Part::Line(_), Part::Whole)));
    (is_worse && worst.lost.is_some()).then(|| finding(rule, analysis, id, capacity, &worst))
}
