//! Quantities that are one number of one dimension.

use uom::si::{
    area::square_meter, electric_current::ampere, electric_potential::volt,
    electrical_resistance::ohm, frequency::hertz, length::meter, power::watt, ratio::ratio,
    thermodynamic_temperature::kelvin, time::second,
};

use super::dimension::Dimension;
use super::reading::{self, Wanted};
use super::show::{significant, with_unit};
use super::{
    ApparentPower, Area, Current, EnergyLetThrough, Form, Frequency, Length, Misread, Power,
    Quantity, Ratio, Resistance, Temperature, Time, Voltage,
};

/// What a scalar measures; opaque outside, where its name and units are all that counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measures(pub(super) Dimension);

/// A quantity that is one number of one dimension, so that two of it can be compared digit by digit.
pub trait Scalar: Copy {
    /// What it measures.
    const DIMENSION: Measures;

    /// From a number of the SI unit (for a let-through energy A²s).
    fn from_si(value: f64) -> Self;

    /// As a number of the SI unit.
    fn to_si(self) -> f64;
}

impl<Q: Scalar> Quantity for Q {
    const WHAT: &'static str = Q::DIMENSION.0.describe().name;
    const EXAMPLE: &'static str = Q::DIMENSION.0.describe().example;

    fn read(text: &str) -> Result<Self, Misread> {
        let wanted = Wanted {
            what: Self::WHAT,
            example: Self::EXAMPLE,
            dimensions: const { &[Q::DIMENSION.0] },
            besides: None,
        };
        reading::read(text, &wanted).map(|(value, _)| Q::from_si(value))
    }

    fn form() -> Form {
        Form::of(Self::WHAT, &[Q::DIMENSION.0], [Self::EXAMPLE])
    }

    fn show(&self) -> String {
        with_unit(Q::DIMENSION.0, self.to_si(), |number| {
            significant(number, 4, true)
        })
    }

    fn is_zero(&self) -> bool {
        Q::DIMENSION.0 != Dimension::Temperature && self.to_si() == 0.0
    }
}

macro_rules! scalar {
    ($type:ty, $dimension:ident, $unit:ty) => {
        impl Scalar for $type {
            const DIMENSION: Measures = Measures(Dimension::$dimension);

            fn from_si(value: f64) -> Self {
                Self::new::<$unit>(value)
            }

            fn to_si(self) -> f64 {
                self.get::<$unit>()
            }
        }
    };
}

scalar!(Current, Current, ampere);
scalar!(Voltage, Voltage, volt);
scalar!(Length, Length, meter);
scalar!(Area, Area, square_meter);
scalar!(Power, Active, watt);
scalar!(Temperature, Temperature, kelvin);
scalar!(Ratio, Ratio, ratio);
scalar!(Frequency, Frequency, hertz);
scalar!(Time, Time, second);
scalar!(Resistance, Resistance, ohm);

impl Scalar for ApparentPower {
    const DIMENSION: Measures = Measures(Dimension::Apparent);

    fn from_si(value: f64) -> Self {
        Self(Power::new::<watt>(value))
    }

    fn to_si(self) -> f64 {
        self.0.get::<watt>()
    }
}

impl Scalar for EnergyLetThrough {
    const DIMENSION: Measures = Measures(Dimension::LetThrough);

    fn from_si(value: f64) -> Self {
        Self(value)
    }

    fn to_si(self) -> f64 {
        self.0
    }
}
