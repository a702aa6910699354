//! Whether the breaker ahead of an outlet is small enough for it.

use crate::analysis::{Analysis, Link, Rating, exceeds};
use crate::citation::{Citation, Cited, Confidence};
use crate::finding::Level;
use crate::model::pdus::Outlet;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::rules::circuits::national;
use crate::tables::Practice;
use crate::tables::breaker_ahead::{Ahead, Behind, Place};
use crate::tables::couplers::Coupler;

pub(super) enum Verdict<'a> {
    Protected,
    Bare {
        link: Link,
        rated: Current,
        allowed: Current,
        basis: Vec<Citation>,
        level: Level,
    },
    /// What the country's rules say is not known, but for what is said from memory.
    Unsettled {
        rated: Cited<Current>,
        coupler: &'a Coupler,
        perhaps: Option<Cited<Current>>,
    },
    /// The rating of the outlet is not known.
    Unknown(Link),
}

pub(super) fn judge<'a>(
    analysis: &Analysis<'_>,
    practice: Practice,
    outlet: &'a Outlet,
    device: &Spanned<Current>,
) -> Verdict<'a> {
    let link = analysis.outlet_rating(outlet);
    let Some((link, coupler)) = link.zip(outlet.coupler.coupler()) else {
        return Verdict::Protected;
    };
    let Rating::Known {
        current: rated,
        basis: own,
        ..
    } = &link.rating
    else {
        return Verdict::Unknown(link);
    };
    let rated = *rated;
    if !exceeds(device.value, rated) {
        return Verdict::Protected;
    }
    let behind = Behind {
        place: Place::Outlet,
        coupler,
        rated,
        is_shared: true,
    };
    match national::ahead(analysis, practice, &behind, device.value) {
        Ahead::Allowed(_) => Verdict::Protected,
        Ahead::Unsettled(perhaps) => Verdict::Unsettled {
            rated: Cited {
                value: rated,
                citation: own
                    .first()
                    .cloned()
                    .unwrap_or_else(|| coupler.citation.clone()),
            },
            coupler,
            perhaps,
        },
        Ahead::UpTo(allowed, rule) => {
            let mut basis = vec![rule_basis(practice)];
            basis.extend(rule);
            basis.extend(own.iter().cloned());
            Verdict::Bare {
                link,
                rated,
                allowed,
                basis,
                level: national::level(coupler, Level::Error),
            }
        }
    }
}

pub(super) fn rule_basis(practice: Practice) -> Citation {
    match practice {
        Practice::Iec => Citation::new("IEC 60364-4-43", "433.1", "2008", Confidence::TwoCopies),
        Practice::Nec => Citation::new(
            "NFPA 70 (NEC)",
            "Table 210.21(B)(3)",
            "2023",
            Confidence::TwoCopies,
        ),
    }
}
