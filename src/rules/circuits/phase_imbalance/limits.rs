//! From which unevenness a finding is made: the site's own limits, else what is usual.

use crate::citation::{Citation, Cited};
use crate::model::value::Field;
use crate::quantity::{Current, Ratio, Scalar};
use crate::survey::Survey;
use crate::tables::limits;

/// From which unevenness a finding is made: the site's own limits, else what is usual.
pub(super) struct Limits {
    pub note: Cited<Ratio>,
    pub warning: Cited<Ratio>,
    pub floor: Cited<Current>,
}

impl Limits {
    pub fn of(survey: &Survey<'_>) -> Option<Self> {
        let own = survey.model.site.phase_imbalance.known();
        Some(Self {
            note: own_or(own.map(|own| &own.note), limits::phase_imbalance_noted())?,
            warning: own_or(own.map(|own| &own.warning), limits::phase_imbalance_large())?,
            floor: own_or(own.map(|own| &own.floor), limits::phase_imbalance_floor())?,
        })
    }
}

fn own_or<T: Scalar>(own: Option<&Field<T>>, usual: Option<Cited<T>>) -> Option<Cited<T>> {
    let own = own.and_then(|own| own.known());
    own.map(|&value| Cited {
        value,
        citation: Citation::marked("house policy of this site (`phase-imbalance`)"),
    })
    .or(usual)
}
