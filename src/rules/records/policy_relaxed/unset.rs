//! What holds where a site sets no limit.

use crate::analysis::usual_allowance;
use crate::flow::low_end::LowEnd;
use crate::policy::SiteLimit;
use crate::quantity::Amount;
use crate::tables::{Practice, constants};

/// What holds without a word of the site; `None` where nothing does, so that any limit holds more, and
/// where the code holds whatever the site sets.
pub(super) fn holds_unset(limit: &SiteLimit, practice: Option<Practice>) -> Option<Amount> {
    let share = |cited: Option<crate::citation::Cited<crate::quantity::Ratio>>| {
        cited.map(|cited| Amount::from(cited.value))
    };
    match limit.key {
        "continuous-load" if practice.is_none() => share(constants::continuous_load(Practice::Nec)),
        "supply-tolerance" => Some(LowEnd::unless_written(practice).below.into()),
        "phase-imbalance.note" => share(constants::phase_imbalance_noted()),
        "phase-imbalance.warning" => share(constants::phase_imbalance_large()),
        "phase-imbalance.floor" => {
            constants::phase_imbalance_floor().map(|floor| floor.value.into())
        }
        key => usual_allowance(key.strip_prefix("routing.")?),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::policy::LIMITS;

    #[test]
    fn what_holds_unset_is_known_of_every_limit() {
        let holds = |practice| -> Vec<&str> {
            let set = LIMITS
                .iter()
                .filter(|limit| holds_unset(limit, practice).is_some());
            set.map(|limit| limit.key).collect()
        };
        let always = [
            "supply-tolerance",
            "routing.service-loop",
            "routing.connector-bend",
            "routing.cross-run",
            "routing.rail-slack",
            "phase-imbalance.note",
            "phase-imbalance.warning",
            "phase-imbalance.floor",
        ];
        assert_eq!(holds(Some(Practice::Iec)), always);
        assert_eq!(holds(Some(Practice::Nec)), always);
        assert_eq!(holds(None), [&["continuous-load"], &always[..]].concat());
    }
}
