//! Writes quantities: the usual unit, a blank between, no more digits than help.

use super::dimension::Dimension;
use super::number;
use super::scalar::Scalar;

/// Numbers closer than this share of themselves are the same but for the rounding of sums.
const SAME: f64 = 1e-9;

/// The number with so many significant digits, never rounding before the point.
///
/// `bare` leaves out the zeros that only tell how exact the number is: `1.5` for `1.500`. A number that so
/// many digits give in full is always written bare, so that a rating reads as it was given.
pub(super) fn significant(number: f64, digits: i32, bare: bool) -> String {
    if !number.is_finite() {
        return "?".to_string();
    }
    let magnitude = if number == 0.0 {
        0
    } else {
        number.abs().log10().floor() as i32
    };
    // Six decimals of any of the units used are below what can be measured.
    let most = 6.max(digits);
    let decimals = (digits - 1 - magnitude).clamp(0, most) as usize;
    let mut written = format!("{number:.decimals$}");
    let is_nothing = written.bytes().all(|b| matches!(b, b'0' | b'.' | b'-'));
    if is_nothing {
        return "0".to_string();
    }
    let is_whole = || (as_shown(&written) - number).abs() <= SAME * number.abs();
    if written.contains('.') && (bare || is_whole()) {
        written.truncate(written.trim_end_matches('0').trim_end_matches('.').len());
    }
    written
}

/// A value in SI units, in the unit best for its size.
pub(super) fn with_unit(dimension: Dimension, value: f64, write: impl Fn(f64) -> String) -> String {
    let unit = dimension.unit_for(value);
    let written = write(unit.number_in(value));
    // What is shown reads as the same, and never as thousands.
    let written = match unit.is_counted_whole && number::grouped_by_point(&written).is_some() {
        true => number::as_decimals(&written),
        false => written,
    };
    format!("{written} {}", unit.sign)
}

/// A worked-out quantity with three significant digits: `10.0 A` for 10.04 A, `10 A` for 10 A, `1.23 kA`.
pub fn show_rounded<Q: Scalar>(quantity: Q) -> String {
    with_unit(Q::DIMENSION.0, quantity.to_si(), |number| {
        significant(number, 3, false)
    })
}

/// A current given in amperes, such as the magnitude of a phasor, with three significant digits: `10.2 A`.
pub fn show_current(amperes: f64) -> String {
    show_rounded(super::amperes(amperes))
}

/// A load the way nameplates and meters give it, in watts or volt-amperes up to ten thousand: `1450 W`.
pub fn show_load<Q: Scalar>(load: Q) -> String {
    const LARGE: f64 = 10_000.0;
    let unit = Q::DIMENSION.0.unit_for(1.0);
    let number = unit.number_in(load.to_si());
    if number.abs() < LARGE {
        format!("{} {}", significant(number, 4, true), unit.sign)
    } else {
        with_unit(Q::DIMENSION.0, load.to_si(), |number| {
            significant(number, 4, true)
        })
    }
}

/// A value and its limit for a line of arithmetic, in the same unit: `10.02 A` and `10 A`.
///
/// The value has three significant digits, and more where fewer would hide on which side of the limit it
/// lies. Values that agree to nine digits are shown alike.
pub fn show_pair<Q: Scalar>(value: Q, limit: Q) -> (String, String) {
    const MOST_DIGITS: i32 = 9;
    let unit = Q::DIMENSION.0.unit_for(limit.to_si());
    let (value, limit) = (unit.number_in(value.to_si()), unit.number_in(limit.to_si()));
    let pair = |digits: i32| {
        (
            significant(value, digits, false),
            significant(limit, digits.max(4), true),
        )
    };
    let true_to_order = |(value_shown, limit_shown): &(String, String)| {
        let order = as_shown(value_shown).partial_cmp(&as_shown(limit_shown));
        order == value.partial_cmp(&limit)
    };
    let (value, limit) = (3..=MOST_DIGITS)
        .map(pair)
        .find(true_to_order)
        .unwrap_or_else(|| pair(3));
    (
        format!("{value} {}", unit.sign),
        format!("{limit} {}", unit.sign),
    )
}

/// The number that a reader sees.
fn as_shown(written: &str) -> f64 {
    written.parse().unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::super::{amperes, degrees_celsius, metres, percent, volt_amperes, watts};
    use super::*;

    #[test]
    fn worked_out_currents_have_three_digits() {
        for (amperes, shown) in [
            (10.04, "10.0 A"),
            (0.5, "0.5 A"),
            (0.5004, "0.500 A"),
            (0.00123, "1.23 mA"),
            (16.0, "16 A"),
            (15.996, "16.0 A"),
            (1234.0, "1.23 kA"),
            (0.0, "0 A"),
            (f64::NAN, "? A"),
            (f64::INFINITY, "? A"),
        ] {
            assert_eq!(show_current(amperes), shown);
        }
    }

    #[test]
    fn loads_are_given_in_watts_as_on_nameplates() {
        assert_eq!(show_load(watts(1450.0)), "1450 W");
        assert_eq!(show_load(volt_amperes(9999.4)), "9999 VA");
        assert_eq!(show_load(watts(10_000.0)), "10 kW");
        assert_eq!(show_load(watts(0.5)), "0.5 W");
    }

    #[test]
    fn no_value_is_rounded_across_its_limit() {
        let shown = |value: f64, limit: f64| {
            let (value, limit) = show_pair(amperes(value), amperes(limit));
            format!("{value} / {limit}")
        };
        assert_eq!(shown(10.02, 10.0), "10.02 A / 10 A");
        assert_eq!(shown(9.9996, 10.0), "9.9996 A / 10 A");
        assert_eq!(shown(14.2, 10.0), "14.2 A / 10 A");
        assert_eq!(shown(10.0, 10.0), "10 A / 10 A");
        assert_eq!(shown(12.3456, 12.3454), "12.346 A / 12.345 A");
        assert_eq!(shown(0.0035, 0.0035001), "3.5 mA / 3.5001 mA");
        assert_eq!(shown(1020.0, 999.0), "1020 A / 999 A");
        assert_eq!(shown(10.0 + 1e-13, 10.0), "10 A / 10 A");
    }

    #[test]
    fn pairs_work_for_every_scalar() {
        assert_eq!(
            show_pair(percent(3.04), percent(3.0)),
            ("3.04 %".into(), "3 %".into())
        );
        assert_eq!(
            show_pair(metres(2.0), metres(0.05)),
            ("2000 mm".into(), "50 mm".into())
        );
        assert_eq!(
            show_pair(degrees_celsius(-5.0), degrees_celsius(30.0)),
            ("-5 °C".into(), "30 °C".into())
        );
    }
}
