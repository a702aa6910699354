//! Numbers as people type them into spreadsheets: with a comma before the decimals, marks between the
//! thousands, and the unit in the heading.

use super::money::Currency;
use super::number::{self, NumberFault};
use super::unit;

/// A number and what stands behind it, where a text is one with a unit or none.
pub(crate) fn bare_number(text: &str) -> Option<(&str, &str)> {
    let typed = number::split(text).filter(|typed| may_be_unit(typed.unit))?;
    Some((typed.number, typed.unit))
}

/// What stands before the decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DecimalMark {
    /// `1,5`
    Comma,
    /// `1.5`
    Point,
}

impl DecimalMark {
    fn sign(self) -> char {
        match self {
            Self::Comma => ',',
            Self::Point => '.',
        }
    }
}

/// A number that may be one of two.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Unclear {
    /// With decimals.
    pub decimal: String,
    /// With thousands.
    pub whole: String,
}

/// A typed number as the format wants it, a point before its decimals, with its own unit or else with
/// `unit`. What is no number with a unit stays as it stands.
///
/// # Errors
/// `1,200` may be twelve hundred or 1.2, and `mark` does not say which; or `mark` says what cannot be.
pub(crate) fn tidy(
    text: &str,
    mark: Option<DecimalMark>,
    unit: Option<&str>,
) -> Result<String, Unclear> {
    let Some(typed) = number::split(text).filter(|typed| may_be_unit(typed.unit)) else {
        return Ok(text.to_owned());
    };
    let counted_in = Some(typed.unit).filter(|own| !own.is_empty()).or(unit);
    let Some(number) = in_digits(typed.number, mark, counted_in)? else {
        return Ok(text.to_owned());
    };
    Ok(match (typed.unit, unit) {
        ("", None) => number,
        ("", Some(unit)) => format!("{number} {unit}"),
        (own, _) if number != typed.number => format!("{number} {own}"),
        _ => text.to_owned(),
    })
}

/// A unit begins with no digit and no dash, and has no digit in it but the last of `mm2`.
fn may_be_unit(text: &str) -> bool {
    let begins_well = text
        .chars()
        .next()
        .is_none_or(|c| c.is_alphabetic() || "%°Ω".contains(c));
    let body = text.strip_suffix('2').unwrap_or(text);
    begins_well && !body.contains(|c: char| c.is_ascii_digit())
}

/// Whether nobody gives thousandths of a unit, so that `1.500` of it may be thousands: of watts and volt-amperes as
/// when definitions are read, of millimetres, which lists give by the thousand, and of money.
fn is_counted_whole(unit: &str) -> bool {
    let mut powers = unit::ACTIVE.iter().chain(unit::APPARENT);
    let is_of = |known: &unit::Unit| {
        let word = unit.to_lowercase();
        known.reads(unit) || known.words.contains(&word.as_str())
    };
    unit == "mm"
        || Currency::is_code(unit)
        || powers.any(|known| known.is_counted_whole && is_of(known))
}

fn in_digits(
    number: &str,
    mark: Option<DecimalMark>,
    unit: Option<&str>,
) -> Result<Option<String>, Unclear> {
    let unclear = |decimal: &str, whole: &str| Unclear {
        decimal: decimal.to_owned(),
        whole: whole.to_owned(),
    };
    let last = number.chars().rfind(|c| matches!(c, ',' | '.'));
    let contradicts = mark.is_some_and(|mark| last.is_some_and(|last| last != mark.sign()));
    match (number::parse(number), mark) {
        (Ok(_), Some(mark)) if number.contains('.') => {
            match (number::grouped_by_point(number), mark) {
                (Some(whole), DecimalMark::Comma) => Ok(Some(whole)),
                (Some(_), DecimalMark::Point) => Ok(Some(number::as_decimals(number))),
                (None, DecimalMark::Point) => Ok(Some(number.to_owned())),
                (None, DecimalMark::Comma) => Err(unclear(number, &number.replace('.', ""))),
            }
        }
        (Ok(_), None) => match number::grouped_by_point(number) {
            Some(whole) if unit.is_some_and(is_counted_whole) => Err(unclear(number, &whole)),
            _ => Ok(Some(number.to_owned())),
        },
        (Ok(_), _) => Ok(Some(number.to_owned())),
        (Err(NumberFault::DecimalComma(right)), _) if contradicts => {
            Err(unclear(&right, &right.replace('.', "")))
        }
        (Err(NumberFault::Thousands(right)), _) if contradicts && right.contains('.') => {
            Err(unclear(&right, &right.replace('.', "")))
        }
        (Err(NumberFault::DecimalComma(right) | NumberFault::Thousands(right)), _) => {
            Ok(Some(right))
        }
        (Err(NumberFault::Ambiguous(decimal, _)), Some(DecimalMark::Comma)) => {
            Ok(Some(number::as_decimals(&decimal)))
        }
        (Err(NumberFault::Ambiguous(_, whole)), Some(DecimalMark::Point)) => Ok(Some(whole)),
        (Err(NumberFault::Ambiguous(decimal, whole)), None) => Err(unclear(&decimal, &whole)),
        (Err(NumberFault::Malformed | NumberFault::TooLarge), _) => Ok(None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use DecimalMark::{Comma, Point};

    #[test]
    fn typed_numbers_are_written_with_a_point_and_their_unit() {
        for (text, mark, unit, tidied) in [
            ("1,5", None, Some("m"), "1.5 m"),
            ("1,5 m", None, Some("cm"), "1.5 m"),
            ("0,750", None, Some("mm²"), "0.750 mm²"),
            ("1.5", None, Some("m"), "1.5 m"),
            ("1.500", None, Some("m"), "1.500 m"),
            ("1.50 W", None, None, "1.50 W"),
            ("0.500 W", None, None, "0.500 W"),
            ("47U", None, None, "47U"),
            ("1.234,5 W", None, None, "1234.5 W"),
            ("1 200", None, Some("W"), "1200 W"),
            ("1,200", Some(Comma), Some("m"), "1.2 m"),
            ("1,200", Some(Point), Some("W"), "1200 W"),
            ("1.200", Some(Comma), Some("W"), "1200 W"),
            ("1.500 W", Some(Point), None, "1.5 W"),
            ("16", None, None, "16"),
            ("2,5 mm2", None, None, "2.5 mm2"),
            ("18", None, Some("AWG"), "18 AWG"),
            // No number with a unit: nothing is made of it.
            ("3G1,5", None, Some("mm²"), "3G1,5"),
            ("200-240 V", None, Some("V"), "200-240 V"),
            ("two", None, Some("m"), "two"),
            ("1,2,3", None, Some("m"), "1,2,3"),
        ] {
            assert_eq!(tidy(text, mark, unit).as_deref(), Ok(tidied), "{text}");
        }
    }

    #[test]
    fn what_may_be_either_is_not_decided() {
        for (text, mark) in [
            ("1,200", None),
            ("12,000 W", None),
            ("1.500 W", None),
            ("1.200 mm", None),
            ("1.250 EUR", None),
            ("2.000 watts", None),
            ("1.5", Some(Comma)),
            ("1,5", Some(Point)),
            ("1,234.5", Some(Comma)),
        ] {
            assert!(tidy(text, mark, Some("m")).is_err(), "{text}");
        }
        let Err(unclear) = tidy("1,200", None, Some("m")) else {
            panic!("1,200 was decided");
        };
        assert_eq!((&*unclear.decimal, &*unclear.whole), ("1.200", "1200"));
    }
}
