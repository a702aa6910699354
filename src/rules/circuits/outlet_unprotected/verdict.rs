//! Whether the breaker ahead of an outlet is small enough for it.

use crate::analysis::{Analysis, Link, Rating, exceeds};
use crate::citation::{Citation, Confidence};
use crate::model::pdus::Outlet;
use crate::model::value::Spanned;
use crate::quantity::Current;
use crate::tables::{Practice, constants};

pub(super) enum Verdict {
    Protected,
    Bare {
        link: Link,
        rated: Current,
        allowed: Current,
        basis: Vec<Citation>,
    },
    Unknown(Link),
}

/// The overcurrent device that may stand ahead of an outlet.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Allowed {
    Any,
    UpTo(Current),
    /// The rating of the outlet is not known.
    Unknown,
}

impl Allowed {
    /// Whichever of two known ones is less.
    pub(super) fn or_less(self, other: Self) -> Self {
        match (self, other) {
            (Self::UpTo(least), Self::UpTo(other)) if least < other => self,
            (_, Self::UpTo(_)) => other,
            _ => self,
        }
    }

    /// Whether a device may stand there.
    pub(super) fn bears(self, ahead: Current) -> bool {
        match self {
            Self::UpTo(most) => !exceeds(ahead, most),
            Self::Any | Self::Unknown => true,
        }
    }
}

pub(super) fn allowed(analysis: &Analysis<'_>, practice: Practice, outlet: &Outlet) -> Allowed {
    match analysis.outlet_rating(outlet).map(|link| link.rating) {
        None => Allowed::Any,
        Some(Rating::Known { current, .. }) => {
            let exception = constants::device_ahead_of_outlet(practice, current);
            Allowed::UpTo(exception.map_or(current, |exception| exception.value))
        }
        Some(_) => Allowed::Unknown,
    }
}

pub(super) fn judge(
    analysis: &Analysis<'_>,
    practice: Practice,
    outlet: &Outlet,
    ahead: &Spanned<Current>,
) -> Verdict {
    let Some(link) = analysis.outlet_rating(outlet) else {
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
    let (rated, mut basis) = (*rated, vec![rule_basis(practice)]);
    let exception = constants::device_ahead_of_outlet(practice, rated);
    let allowed = exception
        .as_ref()
        .map_or(rated, |exception| exception.value);
    if !exceeds(ahead.value, allowed) {
        return Verdict::Protected;
    }
    basis.extend(exception.map(|exception| exception.citation));
    basis.extend(own.iter().cloned());
    Verdict::Bare {
        link,
        rated,
        allowed,
        basis,
    }
}

pub(super) fn rule_basis(practice: Practice) -> Citation {
    match practice {
        Practice::Iec => Citation::new("IEC 60364-4-43", "433.1", "2008", Confidence::TwoCopies),
        Practice::Nec => Citation::new(
            "NFPA 70 (NEC)",
            "Table 210.21(B)(3)",
            "2023",
            Confidence::OneCopy,
        ),
    }
}
