//! Sizes that are made: the breaker that a coupler bears, and the coupler that bears a breaker.

use crate::analysis::exceeds;
use crate::quantity::{Current, InUnits, Quantity, amperes};
use crate::tables::couplers::{self, Coupler, Series};
use crate::tables::{Practice, breakers};

/// The largest breaker made that is not above `limit`.
pub(super) fn breaker_up_to(practice: Practice, limit: Current) -> Current {
    let ratings = breakers::standard_ratings(practice);
    let ratings = ratings.map_or(&[][..], |ratings| &ratings.value);
    let mut fitting = ratings.iter().filter(|rating| !exceeds(**rating, limit));
    fitting.next_back().copied().unwrap_or(limit)
}

/// A coupler like this one, of the series of the practice, that a breaker of this size may stand ahead of;
/// of other families than IEC 60309 only its rating.
pub(super) fn coupler_for(practice: Practice, like: &Coupler, breaker: Current) -> String {
    let hour = like.pin_and_sleeve().map(|own| own.hour);
    let series = match practice {
        Practice::Iec => Series::I,
        Practice::Nec => Series::Ii,
    };
    let rated = |other: &'static Coupler| {
        let key = other.pin_and_sleeve()?;
        let is_alike = hour == Some(key.hour) && other.poles == like.poles && key.series == series;
        let current = other.rated(practice).current.as_ref()?.value;
        (is_alike && !exceeds(breaker, current)).then_some((other, current))
    };
    let smallest = couplers::all()
        .filter_map(rated)
        .min_by(|a, b| a.1.in_amperes().total_cmp(&b.1.in_amperes()));
    match smallest {
        Some((coupler, _)) => format!("like {}", coupler.name),
        None => format!("rated {} or more", breaker.show()),
    }
}

/// Why a coupler of IEC 60309 counts with another current than that of its name.
pub(super) fn series_line(practice: Practice, coupler: &Coupler) -> Option<String> {
    let key = coupler.pin_and_sleeve()?;
    let rated = coupler.rated(practice).current.as_ref()?.value;
    let own = amperes(f64::from(key.amperes));
    if own == rated {
        return None;
    }
    let (from, practice) = match practice {
        Practice::Iec => ("North American series", "IEC"),
        Practice::Nec => ("metric series", "NEC"),
    };
    Some(format!(
        "{} is of the {from}; under {practice} practice a part of its size counts with {}",
        coupler.name,
        rated.show()
    ))
}
