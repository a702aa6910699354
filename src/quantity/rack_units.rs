//! Heights and positions in a rack, counted in units.

use super::dimension::Dimension;
use super::misread::{Misread, quote};
use super::reading::{self, Wanted};
use super::{Form, Length, Quantity, form, millimetres};

/// A height or position in a rack, in whole or half units (EIA-310: a unit is 44.45 mm, 1.75 inches).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RackUnits {
    halves: u16,
}

impl RackUnits {
    /// From whole units.
    pub fn new(units: u16) -> Self {
        Self::from_halves(units.saturating_mul(2))
    }

    /// From half units.
    pub fn from_halves(halves: u16) -> Self {
        Self { halves }
    }

    /// The number of half units.
    pub fn halves(self) -> u16 {
        self.halves
    }

    /// The height that this many units take: 44.45 mm each (EIA-310).
    pub fn length(self) -> Length {
        millimetres(f64::from(self.halves) * 44.45 / 2.0)
    }

    /// As a position is marked on the rail: `U12`.
    pub fn show_position(self) -> String {
        format!("U{}", self.number())
    }

    fn number(self) -> f64 {
        f64::from(self.halves) / 2.0
    }
}

const WANTED: Wanted = Wanted {
    what: RackUnits::WHAT,
    example: RackUnits::EXAMPLE,
    dimensions: &[Dimension::RackUnits],
    besides: None,
};

impl Quantity for RackUnits {
    const WHAT: &'static str = Dimension::RackUnits.describe().name;
    const EXAMPLE: &'static str = Dimension::RackUnits.describe().example;

    /// Reads `44 U` as well as the `U12` of a rail.
    fn read(text: &str) -> Result<Self, Misread> {
        let bare = text.trim();
        let (value, _) = match bare.strip_prefix(['U', 'u']) {
            Some(number) if number.starts_with(|c: char| c.is_ascii_digit()) => {
                position(text, number, bare.starts_with('U'))?
            }
            _ => reading::read(text, &WANTED).map_err(in_halves)?,
        };
        let halves = value * 2.0;
        if halves.fract() != 0.0 {
            return Err(Misread::of_all(
                text,
                format!("{} is no whole or half unit", quote(text)),
                "Racks are counted in units and half units, such as 12 U or 12.5 U.",
            ));
        }
        // The bounds of what is believed are far inside `u16`.
        Ok(Self::from_halves(halves as u16))
    }

    fn form() -> Form {
        let height = form::with_unit(WANTED.dimensions);
        Form {
            words: "Rack units, or the mark on the rail.".to_owned(),
            pattern: form::whole(&format!("(?:{height}|U{})", form::NUMBER)),
            examples: vec!["44 U", "U12"],
        }
    }

    fn show(&self) -> String {
        format!("{} U", self.number())
    }

    fn is_zero(&self) -> bool {
        self.halves == 0
    }
}

/// The misread without a correction that is no whole or half unit either.
fn in_halves(mut misread: Misread) -> Misread {
    misread.replacement = misread
        .replacement
        .filter(|right| RackUnits::read(right).is_ok());
    misread
}

/// Reads the number that follows the U of a rail.
fn position(text: &str, number: &str, capital: bool) -> Result<reading::Reading, Misread> {
    let read = reading::read(&format!("{number} U"), &WANTED)
        .map_err(|misread| Misread::of_all(text, misread.headline, misread.advice))?;
    if capital {
        return Ok(read);
    }
    Err(Misread::of_all(
        text,
        format!("{} has a small u", quote(text)),
        format!("Write U{number}."),
    )
    .with_replacement(Some(format!("U{number}"))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_and_positions_are_read() {
        assert_eq!(RackUnits::read("44 U"), Ok(RackUnits::new(44)));
        assert_eq!(RackUnits::read("44U"), Ok(RackUnits::new(44)));
        assert_eq!(RackUnits::read("U12"), Ok(RackUnits::new(12)));
        assert_eq!(RackUnits::read("12.5 U"), Ok(RackUnits::from_halves(25)));
        assert_eq!(RackUnits::read("0 U"), Ok(RackUnits::new(0)));
        assert_eq!(RackUnits::from_halves(25).show(), "12.5 U");
        assert_eq!(RackUnits::new(12).show_position(), "U12");
    }

    #[test]
    fn what_no_rack_has_is_not_read() {
        for (text, replacement) in [
            ("44", Some("44 U")),
            ("u12", Some("U12")),
            ("44 u", Some("44 U")),
            ("2 RU", Some("2 U")),
            ("1.25 U", None),
            ("90 U", None),
            ("-1 U", None),
            ("U", None),
            ("U12 A", None),
            ("44 mm", None),
        ] {
            let misread = RackUnits::read(text).unwrap_err();
            assert_eq!(misread.replacement.as_deref(), replacement, "{text}");
        }
    }

    #[test]
    fn a_unit_is_an_inch_and_three_quarters() {
        assert!(
            (RackUnits::new(1).length() - Length::read("1.75 in").unwrap())
                .value
                .abs()
                < 1e-12
        );
    }
}
