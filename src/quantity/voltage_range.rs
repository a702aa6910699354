//! The voltages that equipment can be fed with.

use super::dimension::Dimension;
use super::misread::{Misread, place_of, quote};
use super::number;
use super::reading::{self, Wanted};
use super::scalar::Scalar;
use super::{Form, Quantity, Voltage, form};

/// A range of rated voltage, or a single one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltageRange {
    /// The lowest nominal voltage.
    pub low: Voltage,
    /// The highest nominal voltage; the same as the lowest for a single one.
    pub high: Voltage,
}

const WANTED: Wanted = Wanted {
    what: VoltageRange::WHAT,
    example: VoltageRange::EXAMPLE,
    dimensions: &[Dimension::Voltage],
    besides: None,
};

/// What stands between the ends of a range; the first two are read, the others corrected.
const MARKS: [&str; 8] = ["–", "-", "—", "−", "...", "..", "…", "to"];

impl Quantity for VoltageRange {
    const WHAT: &'static str = "a voltage or voltage range";
    const EXAMPLE: &'static str = "100–240 V";

    fn read(text: &str) -> Result<Self, Misread> {
        let Some((left, mark, right)) = ends(text) else {
            return single(text).map(|voltage| Self {
                low: voltage,
                high: voltage,
            });
        };
        let unit = number::split(right).map_or("", |split| split.unit);
        let high = voltage(right).map_err(|misread| misread.within(place_of(right, text).start))?;
        let low = voltage(&with_unit_of(left, unit)).map_err(|misread| clipped(misread, left))?;
        let range = Self { low, high };
        if low > high {
            let turned = Self {
                low: high,
                high: low,
            };
            return Err(Misread::of_all(
                text,
                format!("{} begins with its higher end", quote(text)),
                format!("Write the lower voltage first: {}.", turned.show()),
            )
            .with_replacement(Some(turned.show())));
        }
        if !MARKS[..2].contains(&mark) {
            return Err(Misread::new(
                place_of(mark, text),
                format!("{} does not join a range here", quote(mark)),
                format!("Write {}.", range.show()),
            )
            .with_replacement(Some(range.show())));
        }
        Ok(range)
    }

    fn form() -> Form {
        let voltage = form::with_unit(WANTED.dimensions);
        let units = form::units(WANTED.dimensions);
        let low = format!(r"{}(?:\s*{units})?\s*[–-]\s*", form::NUMBER);
        Form {
            words: "A voltage, or the lowest and the highest, in V, kV or mV.".to_owned(),
            pattern: form::whole(&format!("(?:{low})?{voltage}")),
            examples: vec!["230 V", "100–240 V"],
        }
        .above_zero()
    }

    /// The range in the unit of its higher end: `100–240 V`; a single voltage alone.
    fn show(&self) -> String {
        let (low, high) = (self.low.show(), self.high.show());
        match (low.split_once(' '), high.split_once(' ')) {
            _ if self.low == self.high => high,
            (Some((number, unit)), Some((_, high_unit))) if unit == high_unit => {
                format!("{number}–{high}")
            }
            _ => format!("{low}–{high}"),
        }
    }
}

impl VoltageRange {
    /// Whether equipment for this range may be fed with the nominal voltage.
    pub fn holds(&self, nominal: Voltage) -> bool {
        self.low <= nominal && nominal <= self.high
    }
}

/// The ends of a range and the mark between them.
fn ends(text: &str) -> Option<(&str, &str, &str)> {
    let start = text.find(|c: char| c.is_ascii_digit())?;
    let at = (start..text.len())
        .filter(|&at| text.is_char_boundary(at))
        .find(|&at| {
            // The minus of `1e-3` stands in a number.
            MARKS.iter().any(|mark| text[at..].starts_with(mark))
                && !text[..at].ends_with(['e', 'E'])
        })?;
    let mark = MARKS.iter().find(|mark| text[at..].starts_with(**mark))?;
    let right = &text[at + mark.len()..];
    let begins_a_number = right.trim_start().starts_with(|c: char| c.is_ascii_digit());
    begins_a_number.then(|| (&text[..at], &text[at..at + mark.len()], right))
}

/// The lower end with the unit of the higher where it has none of its own.
fn with_unit_of(left: &str, unit: &str) -> String {
    match number::split(left) {
        Some(split) if split.unit.is_empty() => format!("{left}{unit}"),
        _ => left.to_string(),
    }
}

/// A misread of the lower end, kept within its own text.
fn clipped(mut misread: Misread, left: &str) -> Misread {
    misread.part.end = misread.part.end.min(left.trim_end().len());
    misread.part.start = misread.part.start.min(misread.part.end);
    misread.replacement = None;
    misread
}

fn voltage(text: &str) -> Result<Voltage, Misread> {
    reading::read(text, &WANTED).map(|(value, _)| Voltage::from_si(value))
}

/// A single voltage; a switch between two is told apart.
fn single(text: &str) -> Result<Voltage, Misread> {
    let selector = text.trim().split_once('/').is_some_and(|(one, other)| {
        [one, other]
            .iter()
            .all(|side| number::split(side).is_some())
    });
    if selector {
        return Err(Misread::of_all(
            text,
            format!("{} names two voltages", quote(text)),
            "If a switch on the equipment chooses between them, give the one it is set to, such as 230 V. \
             If all between them will do, write a range, such as 100–240 V.",
        ));
    }
    voltage(text)
}

#[cfg(test)]
mod tests {
    use super::super::volts;
    use super::*;

    #[test]
    fn ranges_and_single_voltages_are_read() {
        let range = |low, high| {
            Ok(VoltageRange {
                low: volts(low),
                high: volts(high),
            })
        };
        for text in [
            "100–240 V",
            "100-240 V",
            "100 – 240V",
            "100 V - 240 V",
            "0.1-0.24 kV",
            " 1e2-240 V ",
        ] {
            assert_eq!(VoltageRange::read(text), range(100.0, 240.0), "{text}");
        }
        assert_eq!(VoltageRange::read("230 V"), range(230.0, 230.0));
        assert_eq!(VoltageRange::read("1e-1-1 V"), range(0.1, 1.0));
    }

    #[test]
    fn ranges_are_shown_as_they_are_marked() {
        for (text, shown) in [
            ("100-240V", "100–240 V"),
            ("230V", "230 V"),
            ("400 V-11 kV", "400 V–11 kV"),
        ] {
            let range = VoltageRange::read(text).unwrap();
            assert_eq!(range.show(), shown);
            assert_eq!(VoltageRange::read(shown), Ok(range));
        }
    }

    #[test]
    fn faults_of_ranges_are_said() {
        for (text, part, replacement) in [
            ("240–100 V", "240–100 V", Some("100–240 V")),
            ("100 to 240 V", "to", Some("100–240 V")),
            ("100...240 V", "...", Some("100–240 V")),
            ("100–240", "240", None),
            ("100–240 A", "A", None),
            ("100-240 v", "v", None),
            ("115/230 V", "115/230 V", None),
            ("1,0-240 V", "1,0", None),
            ("0-240 V", "0", None),
            ("-5 V", "-5", None),
            ("230 V ± 10 %", "± 10 %", None),
            ("NO", "NO", None),
        ] {
            let misread = VoltageRange::read(text).unwrap_err();
            assert_eq!(&text[misread.part.clone()], part, "{misread:?}");
            assert_eq!(misread.replacement.as_deref(), replacement, "{text}");
        }
    }
}
