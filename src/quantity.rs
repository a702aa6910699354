//! Physical quantities: the dimension is in the type, the unit appears only on reading and writing.
//!
//! Reading never panics and never guesses: text is either one quantity, or a [`Misread`] that says what is
//! wrong in plain words and, where only one meaning is possible, how it should be written.

mod amount;
mod conductor;
mod days;
mod dimension;
pub(crate) mod form;
mod in_units;
mod load;
mod misread;
mod money;
mod number;
mod rack_units;
mod reading;
mod scalar;
mod show;
mod system;
mod tolerance;
pub(crate) mod trap;
pub(crate) mod typed;
mod unit;
mod voltage_range;

pub use uom::si::f64::{
    Area, ElectricCurrent as Current, ElectricPotential as Voltage,
    ElectricalResistance as Resistance, Frequency, Length, Power, Ratio,
    ThermodynamicTemperature as Temperature, Time,
};

pub use amount::Amount;
pub use conductor::ConductorSize;
pub use days::Days;
pub use dimension::{Plausible, plausible};
pub use form::Form;
pub use in_units::{
    InUnits, ampere_squared_seconds, amperes, degrees_celsius, hertz, metres, milliamperes,
    millimetres, ohms, percent, seconds, square_millimetres, volt_amperes, volts, watts,
};
pub use load::LoadPower;
pub use misread::Misread;
pub use money::{Currency, Money};
pub use rack_units::RackUnits;
pub use scalar::Scalar;
pub use show::{show_current, show_load, show_pair, show_rounded};
pub use system::{Arrangement, SystemMarking};
pub use tolerance::Tolerance;
pub use voltage_range::VoltageRange;

/// Apparent power, in volt-amperes. A type of its own, so that watts cannot stand in for it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ApparentPower(pub Power);

/// What a fault lets through before it is cleared (Joule integral, I²t), in ampere squared seconds.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct EnergyLetThrough(pub f64);

/// Something that is written as a number with its unit.
pub trait Quantity: Sized + Copy {
    /// What it is, with its article: `a current`.
    const WHAT: &'static str;
    /// A good spelling: `10 A`.
    const EXAMPLE: &'static str;

    /// Reads one quantity from the whole of `text`; blanks around it do not count.
    ///
    /// # Errors
    /// A [`Misread`] when `text` is anything but one plausible quantity of this kind.
    fn read(text: &str) -> Result<Self, Misread>;

    /// How it is written.
    fn form() -> Form;

    /// The quantity in its usual unit, a blank between, at most four significant digits: `10 A`.
    fn show(&self) -> String;

    /// Whether it is nothing at all, as a draw of 0 W is.
    fn is_zero(&self) -> bool {
        false
    }

    /// Reads a quantity that cannot be zero where it stands, such as a rating.
    ///
    /// # Errors
    /// As [`Quantity::read`], and for zero.
    fn read_above_zero(text: &str) -> Result<Self, Misread> {
        let quantity = Self::read(text)?;
        if quantity.is_zero() {
            let headline = format!("{} is zero where it cannot be", misread::quote(text));
            let advice = format!(
                "Zero would pass for a real value in every sum. Give the true value, such as {}, or leave it out.",
                Self::EXAMPLE
            );
            return Err(Misread::of_all(text, headline, advice));
        }
        Ok(quantity)
    }
}

#[cfg(test)]
mod tests;
