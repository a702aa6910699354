//! Overcurrent devices: when they must hold, when they must open, and the ratings they come in.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::ampere;
use uom::si::ratio::ratio;
use uom::si::time::second;

use super::{Practice, Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{Current, Ratio, Time};

/// Absorbs the rounding of a multiple that was computed from two currents.
const SAME_MULTIPLE: f64 = 1e-9;

/// Instantaneous-trip type of a circuit-breaker.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Curve {
    /// IEC 60898-1 type B.
    B,
    /// IEC 60898-1 type C.
    C,
    /// IEC 60898-1 type D.
    D,
    /// North American inverse-time breaker (UL 489).
    InverseTime,
}

impl Curve {
    /// Every curve, in the order of its declaration.
    const ALL: [Self; 4] = [Self::B, Self::C, Self::D, Self::InverseTime];

    /// As it is written: `C`, or `inverse-time`.
    pub fn name(self) -> &'static str {
        match self {
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
            Self::InverseTime => "inverse-time",
        }
    }

    /// The curve of a name such as `C` or `inverse-time`.
    pub fn from_name(name: &str) -> Option<Self> {
        let name = name.trim();
        let is = |other: &str| name.eq_ignore_ascii_case(other);
        match name {
            _ if is("B") => Some(Self::B),
            _ if is("C") => Some(Self::C),
            _ if is("D") => Some(Self::D),
            _ if is("inverse-time") => Some(Self::InverseTime),
            _ => None,
        }
    }
}

/// When a breaker opens at a current, as far as its standard fixes it.
#[derive(Clone, Debug, PartialEq)]
pub struct TripTime {
    /// It holds at least this long, at its rating for ever; `None`: it may open at once.
    pub soonest: Option<Cited<Time>>,
    /// It is open by then; `None`: it need not open at all.
    pub latest: Option<Cited<Time>>,
}

/// The multiples of the rating between which the instantaneous trip may or may not act.
#[derive(Clone, Debug, PartialEq)]
pub struct InstantaneousBand {
    /// Up to this multiple it holds for 0.1 s.
    pub holds_to: Ratio,
    /// From this multiple on it opens within 0.1 s.
    pub opens_from: Ratio,
    /// Source of the band.
    pub citation: Citation,
}

/// A test point of a standard: at this multiple of the rating the breaker must hold so long, or open so soon.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    curves: Vec<Curve>,
    multiple: f64,
    above_amperes: Option<f64>,
    upto_amperes: Option<f64>,
    holds_seconds: Option<f64>,
    opens_seconds: Option<f64>,
    #[serde(flatten)]
    provenance: Provenance,
}

struct Point {
    row: Row,
    citation: Citation,
}

impl Point {
    fn is_for(&self, amperes: f64) -> bool {
        self.row.above_amperes.is_none_or(|above| amperes > above)
            && self.row.upto_amperes.is_none_or(|upto| amperes <= upto)
    }

    fn cited(&self, seconds: f64) -> Cited<Time> {
        Cited {
            value: Time::new::<second>(seconds),
            citation: self.citation.clone(),
        }
    }
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct RatingsRow {
    practice: Practice,
    amperes: Vec<f64>,
    #[serde(flatten)]
    provenance: Provenance,
}

/// The test points of each curve.
static POINTS: LazyLock<[Vec<Point>; Curve::ALL.len()]> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("breakers", include_str!("data/breakers.yaml"));
    Curve::ALL.map(|curve| {
        let rows = table.rows.iter().filter(|row| row.curves.contains(&curve));
        let point = |row: &Row| Point {
            row: row.clone(),
            citation: table.cite(&row.provenance),
        };
        rows.map(point).collect()
    })
});

static RATINGS: LazyLock<Vec<(Practice, Cited<Vec<Current>>)>> = LazyLock::new(|| {
    let text = include_str!("data/breaker_ratings.yaml");
    let table = Table::<RatingsRow>::embedded("breaker_ratings", text);
    let ratings = table.rows.iter().map(|row| {
        let amperes = row.amperes.iter().copied();
        let value = amperes.map(Current::new::<ampere>).collect();
        let citation = table.cite(&row.provenance);
        (row.practice, Cited { value, citation })
    });
    ratings.collect()
});

/// When a breaker of this curve and rating opens at a multiple of its rating.
///
/// The standards test a few multiples only. A breaker never takes longer at a higher current, so between
/// two of them it holds as long as at the next higher, and is open as soon as at the next lower. A
/// multiple that is not a number is not fixed on either side.
pub fn trip_time_bounds(curve: Curve, rating: Current, multiple: Ratio) -> TripTime {
    let holds = points(curve, rating)
        .filter(|point| point.row.multiple >= multiple.get::<ratio>() - SAME_MULTIPLE)
        .filter_map(|point| Some((point, point.row.holds_seconds?)))
        .max_by(|(_, a), (_, b)| a.total_cmp(b));
    let opens = latest_opening(curve, rating, multiple);
    TripTime {
        soonest: holds.map(|(point, seconds)| point.cited(seconds)),
        latest: opens.map(|(point, seconds)| point.cited(seconds)),
    }
}

/// The bare time of [`TripTime::latest`], for questions asked of every cord of a site.
pub fn open_by(curve: Curve, rating: Current, multiple: Ratio) -> Option<Time> {
    let (_, seconds) = latest_opening(curve, rating, multiple)?;
    Some(Time::new::<second>(seconds))
}

fn latest_opening(curve: Curve, rating: Current, multiple: Ratio) -> Option<(&'static Point, f64)> {
    points(curve, rating)
        .filter(|point| point.row.multiple <= multiple.get::<ratio>() + SAME_MULTIPLE)
        .filter_map(|point| Some((point, point.row.opens_seconds?)))
        .min_by(|(_, a), (_, b)| a.total_cmp(b))
}

/// The multiples of its rating at which a breaker of this curve is sure to open sooner than below them.
pub fn steps(curve: Curve, rating: Current) -> impl Iterator<Item = Ratio> {
    let opening = points(curve, rating).filter(|point| point.row.opens_seconds.is_some());
    opening.map(|point| Ratio::new::<ratio>(point.row.multiple))
}

/// The test points of a breaker of this curve and rating.
fn points(curve: Curve, rating: Current) -> impl Iterator<Item = &'static Point> {
    let amperes = rating.get::<ampere>();
    let of_curve = POINTS[curve as usize].iter();
    of_curve.filter(move |point| point.is_for(amperes))
}

/// The instantaneous band of a curve: type B 3 to 5, C 5 to 10, D 10 to 20 times the rating. UL 489 sets
/// none; the band of an inverse-time breaker is common practice.
pub fn instantaneous_band(curve: Curve) -> Option<InstantaneousBand> {
    /// The standard's border between a delayed and an instantaneous opening.
    const INSTANT: f64 = 0.1;
    let of_curve = || POINTS[curve as usize].iter();
    let is_instant = |seconds: Option<f64>| seconds.is_some_and(|seconds| seconds <= INSTANT);
    let holds = of_curve().find(|point| is_instant(point.row.holds_seconds))?;
    let opens = of_curve().find(|point| is_instant(point.row.opens_seconds))?;
    Some(InstantaneousBand {
        holds_to: Ratio::new::<ratio>(holds.row.multiple),
        opens_from: Ratio::new::<ratio>(opens.row.multiple),
        citation: opens.citation.clone(),
    })
}

/// Conventional tripping current I2 as a multiple of the rating: where the breaker is sure to open at all.
pub fn conventional_tripping(curve: Curve, rating: Current) -> Option<Cited<Ratio>> {
    let opening = points(curve, rating).filter(|point| point.row.opens_seconds.is_some());
    let first = opening.min_by(|a, b| a.row.multiple.total_cmp(&b.row.multiple))?;
    Some(Cited {
        value: Ratio::new::<ratio>(first.row.multiple),
        citation: first.citation.clone(),
    })
}

/// Conventional non-tripping current I1 as a multiple of the rating: where the breaker is sure to hold for its
/// conventional time, an hour or two.
pub fn conventional_holding(curve: Curve, rating: Current) -> Option<Cited<Ratio>> {
    const CONVENTIONAL: f64 = 3600.0;
    let holds = |point: &&Point| {
        let holds = point.row.holds_seconds;
        holds.is_some_and(|seconds| seconds >= CONVENTIONAL)
    };
    let holding = points(curve, rating).filter(holds);
    let last = holding.max_by(|a, b| a.row.multiple.total_cmp(&b.row.multiple))?;
    Some(Cited {
        value: Ratio::new::<ratio>(last.row.multiple),
        citation: last.citation.clone(),
    })
}

/// Ratings that breakers come in, smallest first.
pub fn standard_ratings(practice: Practice) -> Option<&'static Cited<Vec<Current>>> {
    let row = RATINGS.iter().find(|(of, _)| *of == practice);
    row.map(|(_, ratings)| ratings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::citation::Confidence;

    fn bounds(curve: Curve, amperes: f64, multiple: f64) -> (Option<f64>, Option<f64>) {
        let found = trip_time_bounds(
            curve,
            Current::new::<ampere>(amperes),
            Ratio::new::<ratio>(multiple),
        );
        let seconds = |time: Option<Cited<Time>>| time.map(|time| time.value.get::<second>());
        (seconds(found.soonest), seconds(found.latest))
    }

    /// IEC 60898-1 Table 7, tests a to e.
    #[test]
    fn test_points_of_the_standard_are_met() {
        assert_eq!(bounds(Curve::C, 16.0, 1.13), (Some(3600.0), None));
        assert_eq!(bounds(Curve::C, 16.0, 1.45), (Some(1.0), Some(3600.0)));
        assert_eq!(bounds(Curve::C, 80.0, 1.45), (Some(1.0), Some(7200.0)));
        assert_eq!(bounds(Curve::B, 32.0, 2.55), (Some(1.0), Some(60.0)));
        assert_eq!(bounds(Curve::B, 40.0, 2.55), (Some(1.0), Some(120.0)));
        for (curve, holds, opens) in [
            (Curve::B, 3.0, 5.0),
            (Curve::C, 5.0, 10.0),
            (Curve::D, 10.0, 20.0),
        ] {
            assert_eq!(bounds(curve, 16.0, holds).0, Some(0.1), "{curve:?}");
            assert_eq!(bounds(curve, 16.0, holds + 0.1).0, None, "{curve:?}");
            assert_eq!(bounds(curve, 16.0, opens), (None, Some(0.1)), "{curve:?}");
            assert!(bounds(curve, 16.0, opens - 0.1).1 > Some(0.1), "{curve:?}");
        }
    }

    /// IEC 60898-1 Table 7, test b; UL 489 has no such point above the rating.
    #[test]
    fn what_a_breaker_holds_for_an_hour_is_that_of_its_standard() {
        let holds = |curve, amperes| {
            let found = conventional_holding(curve, Current::new::<ampere>(amperes));
            found.map(|found| found.value.get::<ratio>())
        };
        assert_eq!(holds(Curve::C, 16.0), Some(1.13));
        assert_eq!(holds(Curve::B, 80.0), Some(1.13));
        assert_eq!(holds(Curve::InverseTime, 20.0), Some(1.0));
    }

    #[test]
    fn a_breaker_holds_its_rating_and_is_not_sure_to_open_just_above_it() {
        for curve in [Curve::B, Curve::C, Curve::D, Curve::InverseTime] {
            assert_eq!(bounds(curve, 16.0, 1.0), (Some(f64::INFINITY), None));
            assert_eq!(bounds(curve, 16.0, 1.2).1, None);
        }
    }

    /// UL 489: 135 % within 1 h up to 50 A, 2 h above; 200 % within 2, 4, 6 min by rating.
    #[test]
    fn inverse_time_breakers_meet_their_calibration() {
        assert_eq!(bounds(Curve::InverseTime, 20.0, 1.35).1, Some(3600.0));
        assert_eq!(bounds(Curve::InverseTime, 60.0, 1.35).1, Some(7200.0));
        assert_eq!(bounds(Curve::InverseTime, 20.0, 2.0).1, Some(120.0));
        assert_eq!(bounds(Curve::InverseTime, 50.0, 2.0).1, Some(240.0));
        assert_eq!(bounds(Curve::InverseTime, 60.0, 2.0).1, Some(360.0));
    }

    #[test]
    fn more_current_never_trips_later() {
        for curve in [Curve::B, Curve::C, Curve::D, Curve::InverseTime] {
            for amperes in [6.0, 16.0, 32.0, 40.0, 63.0, 80.0] {
                let times: Vec<_> = (0..2500)
                    .map(|n| bounds(curve, amperes, f64::from(n) * 0.01))
                    .collect();
                assert!(times.is_sorted_by(|a, b| a.0 >= b.0), "{curve:?} {amperes}");
                let latest = |time: &Option<f64>| time.unwrap_or(f64::INFINITY);
                assert!(times.is_sorted_by(|a, b| latest(&a.1) >= latest(&b.1)));
                assert!(
                    times
                        .iter()
                        .all(|(from, to)| from.unwrap_or(0.0) <= latest(to))
                );
            }
        }
    }

    #[test]
    fn no_number_fixes_nothing() {
        assert_eq!(bounds(Curve::C, 16.0, f64::NAN), (None, None));
        assert_eq!(bounds(Curve::C, f64::NAN, 5.0).1, None);
    }

    #[test]
    fn bands_and_conventional_currents_are_those_of_the_standard() {
        let band = |curve| {
            let band = instantaneous_band(curve);
            band.map(|band| (band.holds_to.get::<ratio>(), band.opens_from.get::<ratio>()))
        };
        assert_eq!(band(Curve::B), Some((3.0, 5.0)));
        assert_eq!(band(Curve::C), Some((5.0, 10.0)));
        assert_eq!(band(Curve::D), Some((10.0, 20.0)));
        let inverse = instantaneous_band(Curve::InverseTime);
        assert!(inverse.is_some_and(|b| b.citation.confidence == Confidence::CommonPractice));
        for (curve, amperes, expected) in [
            (Curve::B, 20.0, 1.45),
            (Curve::D, 80.0, 1.45),
            (Curve::InverseTime, 20.0, 1.35),
        ] {
            let found = conventional_tripping(curve, Current::new::<ampere>(amperes));
            assert_eq!(found.map(|i2| i2.value.get::<ratio>()), Some(expected));
        }
    }

    #[test]
    fn ratings_rise_and_hold_the_everyday_ones() {
        for (practice, everyday) in [(Practice::Iec, [16.0, 32.0]), (Practice::Nec, [20.0, 30.0])] {
            let ratings = standard_ratings(practice).map_or(&[][..], |cited| &cited.value);
            assert!(ratings.is_sorted());
            for amperes in everyday {
                assert!(
                    ratings.contains(&Current::new::<ampere>(amperes)),
                    "{amperes}"
                );
            }
        }
    }

    /// Of the times that disconnection may take, 0.1 to 5 s, it makes no difference which one binds.
    #[test]
    fn no_curve_is_sure_to_open_within_seconds_where_it_does_not_open_at_once() {
        let times = POINTS
            .iter()
            .flatten()
            .filter_map(|point| point.row.opens_seconds);
        let mut within = times.filter(|seconds| *seconds > 0.1 && *seconds <= 5.0);
        assert_eq!(within.next(), None);
    }
}
