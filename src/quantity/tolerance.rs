//! How far a length that is made may lie from the length that is asked for.

use super::form::{Form, whole};
use super::misread::{Misread, quote};
use super::{InUnits, Length, Quantity, form, millimetres};

/// A tolerance of length: so much shorter and so much longer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// How much shorter it may be.
    pub minus: Length,
    /// How much longer it may be.
    pub plus: Length,
}

/// More than any cord is made long or short by.
const MOST_METRES: f64 = 1.0;

impl Quantity for Tolerance {
    const WHAT: &'static str = "a tolerance of length";
    const EXAMPLE: &'static str = "-0/+50 mm";

    fn read(text: &str) -> Result<Self, Misread> {
        let bare = text.trim();
        let both = bare.strip_prefix('±').or_else(|| bare.strip_prefix("+/-"));
        let read = match both {
            Some(both) => Length::read(both).ok().map(|both| Self {
                minus: both,
                plus: both,
            }),
            None => two(bare),
        };
        let is_meant =
            |read: &Self| read.minus.in_metres().max(read.plus.in_metres()) <= MOST_METRES;
        read.filter(is_meant).ok_or_else(|| {
            let headline = format!("{} is no tolerance of a cord's length", quote(bare));
            let advice =
                "Write how much shorter and how much longer it may be, like -0/+50 mm or ±20 mm.";
            Misread::of_all(text, headline, advice)
        })
    }

    fn form() -> Form {
        let number = form::NUMBER;
        Form {
            words:
                "How much shorter and how much longer: -0/+50 mm, or the same both ways: ±20 mm."
                    .to_owned(),
            pattern: whole(&format!(
                r"(?:[-−–]{number}\s*/\s*\+{number}|(?:±|\+/-)\s*{number})\s*(?:mm|cm|m|in|ft)"
            )),
            examples: vec![Self::EXAMPLE, "±20 mm"],
        }
    }

    fn show(&self) -> String {
        let millimetres = |length: Length| (length.in_millimetres() * 10.0).round() / 10.0;
        format!(
            "-{}/+{} mm",
            millimetres(self.minus),
            millimetres(self.plus)
        )
    }
}

/// `-0/+50 mm`: the unit stands behind the last.
fn two(bare: &str) -> Option<Tolerance> {
    let (minus, plus) = bare.split_once('/')?;
    let minus = minus.trim().strip_prefix(['-', '−', '–'])?.trim();
    let plus = plus.trim().strip_prefix('+')?;
    let unit = plus.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    let unit = unit.trim();
    let read = |number: &str| match number.parse::<f64>() {
        Ok(0.0) => Some(millimetres(0.0)),
        _ => Length::read(&format!("{number} {unit}")).ok(),
    };
    let plus = plus.strip_suffix(unit)?.trim();
    let is_unit = Length::read(&format!("1 {unit}")).is_ok();
    is_unit.then_some(Tolerance {
        minus: read(minus)?,
        plus: read(plus)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tolerances_are_read_and_shown() {
        for (text, shown) in [
            ("-0/+50 mm", "-0/+50 mm"),
            ("−10 / +25mm", "-10/+25 mm"),
            ("±20 mm", "-20/+20 mm"),
            ("+/- 2 cm", "-20/+20 mm"),
            ("-0.5/+1 in", "-12.7/+25.4 mm"),
        ] {
            assert_eq!(Tolerance::read(text).unwrap().show(), shown, "{text}");
        }
    }

    #[test]
    fn what_says_no_more_than_one_side_is_no_tolerance() {
        for text in [
            "", "50 mm", "+50 mm", "-0/+50", "50/0 mm", "-0/+5 kg", "-2/+2 m", "5 %", "-/+ mm", "/",
        ] {
            assert!(Tolerance::read(text).is_err(), "{text}");
        }
    }
}
