//! The load that a device states or was measured to draw.

use super::dimension::Dimension;
use super::reading::{self, Wanted};
use super::scalar::Scalar;
use super::{ApparentPower, Current, Form, Misread, Power, Quantity};

/// A rating or draw in whichever of the three ways nameplates give it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LoadPower {
    /// In watts: `420 W`.
    Active(Power),
    /// In volt-amperes: `500 VA`.
    Apparent(ApparentPower),
    /// In amperes, at the voltage fed: `2.1 A`.
    Current(Current),
}

const WANTED: Wanted = Wanted {
    what: LoadPower::WHAT,
    example: LoadPower::EXAMPLE,
    dimensions: &[Dimension::Active, Dimension::Apparent, Dimension::Current],
    besides: None,
};

impl Quantity for LoadPower {
    const WHAT: &'static str = "a load";
    const EXAMPLE: &'static str = "420 W";

    fn read(text: &str) -> Result<Self, Misread> {
        let (value, dimension) = reading::read(text, &WANTED)?;
        Ok(match dimension {
            Dimension::Apparent => Self::Apparent(ApparentPower::from_si(value)),
            Dimension::Current => Self::Current(Current::from_si(value)),
            _ => Self::Active(Power::from_si(value)),
        })
    }

    fn form() -> Form {
        Form::of(Self::WHAT, WANTED.dimensions, ["420 W", "500 VA", "2.1 A"])
    }

    fn show(&self) -> String {
        match self {
            Self::Active(power) => power.show(),
            Self::Apparent(power) => power.show(),
            Self::Current(current) => current.show(),
        }
    }

    fn is_zero(&self) -> bool {
        match self {
            Self::Active(power) => power.is_zero(),
            Self::Apparent(power) => power.is_zero(),
            Self::Current(current) => current.is_zero(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{amperes, volt_amperes, watts};
    use super::*;

    #[test]
    fn three_kinds_of_load_are_read() {
        assert_eq!(
            LoadPower::read("420 W"),
            Ok(LoadPower::Active(watts(420.0)))
        );
        assert_eq!(
            LoadPower::read("1.2 kW"),
            Ok(LoadPower::Active(watts(1200.0)))
        );
        assert_eq!(
            LoadPower::read("500 VA"),
            Ok(LoadPower::Apparent(volt_amperes(500.0)))
        );
        assert_eq!(
            LoadPower::read("2.1 A"),
            Ok(LoadPower::Current(amperes(2.1)))
        );
        assert!(LoadPower::read("0 W").unwrap().is_zero());
    }

    #[test]
    fn a_bare_number_is_asked_about_in_all_three() {
        let misread = LoadPower::read("420").unwrap_err();
        assert_eq!(
            misread.advice,
            "Is it meant as 420 W, 420 VA or 420 A? Write the unit after the number."
        );
        assert_eq!(misread.replacement, None);
    }

    #[test]
    fn other_units_are_refused() {
        assert!(
            LoadPower::read("230 V")
                .unwrap_err()
                .headline
                .contains("a voltage")
        );
        assert_eq!(
            LoadPower::read("1.2 KW")
                .unwrap_err()
                .replacement
                .as_deref(),
            Some("1.2 kW")
        );
    }
}
