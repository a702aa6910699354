//! A quantity of which only the text says what it measures.

use super::dimension::Dimension;
use super::reading::{self, Wanted};
use super::scalar::Scalar;
use super::show::{significant, with_unit};
use super::unit::Unit;
use super::{ConductorSize, Form, Misread, Quantity, number};

/// A number with its unit, whatever it measures: what a limit was crossed by, as it is kept on record.
///
/// Two amounts can be held against each other only if they measure the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount {
    dimension: Dimension,
    /// In SI units.
    si: f64,
}

/// All that an amount may measure.
const ANY: &[Dimension] = &[
    Dimension::Current,
    Dimension::Voltage,
    Dimension::Length,
    Dimension::Area,
    Dimension::Active,
    Dimension::Apparent,
    Dimension::Temperature,
    Dimension::Ratio,
    Dimension::Frequency,
    Dimension::Time,
    Dimension::Resistance,
    Dimension::LetThrough,
];

const WANTED: Wanted = Wanted {
    what: Amount::WHAT,
    example: Amount::EXAMPLE,
    dimensions: ANY,
    besides: None,
};

impl Amount {
    fn as_shown(text: &str) -> Option<Self> {
        let (number, unit) = number::plain(text)?;
        let mut units = WANTED.units();
        let unit = units.find(|known| known.sign == unit)?;
        let (si, dimension) = (unit.to_si(number), unit.dimension);
        si.is_finite().then_some(Self { dimension, si })
    }

    /// The number in the usual unit of what it measures: amperes, volts, metres, mm², °C, per cent.
    pub fn number(self) -> f64 {
        self.base().number_in(self.si)
    }

    /// The unit of [`Amount::number`].
    pub fn unit(self) -> &'static str {
        self.base().sign
    }

    fn base(self) -> &'static Unit {
        self.dimension.unit_for(0.0)
    }

    /// Whether both measure the same.
    pub fn is_like(self, other: Self) -> bool {
        self.dimension == other.dimension
    }
}

impl Quantity for Amount {
    const WHAT: &'static str = "an amount";
    const EXAMPLE: &'static str = "95 A";

    /// As [`Amount::show`] writes it, any size is believed: what was worked out of a mistaken site
    /// may lie beyond what anybody would write.
    fn read(text: &str) -> Result<Self, Misread> {
        if let Some(amount) = Self::as_shown(text) {
            return Ok(amount);
        }
        let (si, dimension) = reading::read(text, &WANTED)?;
        Ok(Self { dimension, si })
    }

    fn form() -> Form {
        Form::of(Self::WHAT, ANY, ["95 A", "3.4 %"])
    }

    /// With so many digits that nothing that matters is lost: `95.04 A`.
    fn show(&self) -> String {
        with_unit(self.dimension, self.si, |number| {
            significant(number, 5, true)
        })
    }
}

impl<Q: Scalar> From<Q> for Amount {
    fn from(quantity: Q) -> Self {
        Self {
            dimension: Q::DIMENSION.0,
            si: quantity.to_si(),
        }
    }
}

impl From<ConductorSize> for Amount {
    fn from(size: ConductorSize) -> Self {
        size.area().into()
    }
}

#[cfg(test)]
mod tests {
    use super::super::{amperes, degrees_celsius, percent};
    use super::*;

    #[test]
    fn an_amount_is_read_back_as_it_was_shown() {
        for text in [
            "95 A", "3.731 A", "0.0312 A", "207.4 V", "3.4 %", "70 °C", "1.5 mm²", "2.25 m",
        ] {
            let amount = Amount::read(text).expect(text);
            let again = Amount::read(&amount.show()).expect(text);
            assert!(
                (amount.si - again.si).abs() <= amount.si.abs() * 1e-4,
                "{text}: {}",
                amount.show()
            );
            assert!(amount.is_like(again));
        }
    }

    #[test]
    fn a_number_comes_in_the_usual_unit() {
        assert_eq!(Amount::from(amperes(0.03)).number(), 0.03);
        assert_eq!(Amount::from(percent(3.0)).unit(), "%");
        assert!((Amount::from(degrees_celsius(70.0)).number() - 70.0).abs() < 1e-9);
        let size = ConductorSize::read("1.5 mm²").unwrap();
        assert!((Amount::from(size).number() - 1.5).abs() < 1e-9);
    }

    #[test]
    fn what_measures_nothing_is_refused() {
        for text in ["", "95", "A", "95 apples", "NaN A", "1e999 A"] {
            assert!(Amount::read(text).is_err(), "{text}");
        }
        assert!(!Amount::from(amperes(1.0)).is_like(Amount::read("1 V").unwrap()));
    }
}
