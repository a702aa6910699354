//! From which unevenness a finding is made: the site's own limits, else what is usual.

use crate::analysis::Analysis;
use crate::citation::{Citation, Cited};
use crate::finding::Fact;
use crate::model::optional::Optional;
use crate::quantity::{Current, Ratio, Scalar};
use crate::tables::constants;

/// From which unevenness a finding is made: the site's own limits, else what is usual.
pub(super) struct Limits {
    pub note: Cited<Ratio>,
    pub warning: Cited<Ratio>,
    pub floor: Cited<Current>,
}

impl Limits {
    /// Those of a site; `None` if no table gives what is usual.
    ///
    /// # Errors
    /// A limit of the site that cannot be read: what is usual does not stand in for it.
    pub fn of(analysis: &Analysis<'_>) -> Result<Option<Self>, Fact> {
        let own = analysis.model.site.phase_imbalance.written();
        let own = own.map_err(|at| Fact::unreadable_of_site(KEY, at))?;
        let own = own.map(|own| &own.value);
        let note = own_or(
            "note",
            own.map(|own| &own.note),
            constants::phase_imbalance_noted(),
        )?;
        let warning = own_or(
            "warning",
            own.map(|own| &own.warning),
            constants::phase_imbalance_large(),
        )?;
        let floor = own_or(
            "floor",
            own.map(|own| &own.floor),
            constants::phase_imbalance_floor(),
        )?;
        let all = note.zip(warning).zip(floor);
        Ok(all.map(|((note, warning), floor)| Self {
            note,
            warning,
            floor,
        }))
    }
}

const KEY: &str = "phase-imbalance";

fn own_or<T: Scalar>(
    key: &str,
    own: Option<&Optional<T>>,
    usual: Option<Cited<T>>,
) -> Result<Option<Cited<T>>, Fact> {
    let own = own.map_or(Ok(None), Optional::written);
    let own = own.map_err(|at| Fact::unreadable_of_site(format!("{KEY}.{key}"), at))?;
    let own = own.map(|own| Cited {
        value: own.value,
        citation: Citation::marked("house policy of this site (`phase-imbalance`)"),
    });
    Ok(own.or(usual))
}
