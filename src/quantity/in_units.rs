//! Numbers to quantities and back, the unit in the name.

use super::scalar::Scalar;
use super::unit::ICE_POINT;
use super::{
    ApparentPower, Area, Current, EnergyLetThrough, Frequency, Length, Power, RackUnits, Ratio,
    Resistance, Temperature, Time, Voltage,
};

// The units are fractions of SI units as in the readers, so that a size read and a size made are equal to
// the last bit.
macro_rules! constructors {
    ($($(#[$doc:meta])* $name:ident: $type:ident = $over:literal / $under:literal;)+) => {
        $($(#[$doc])* pub fn $name(number: f64) -> $type { $type::from_si(number * $over / $under) })+
    };
}

constructors! {
    /// A current from amperes.
    amperes: Current = 1.0 / 1.0;
    /// A current from milliamperes.
    milliamperes: Current = 1.0 / 1e3;
    /// A voltage from volts.
    volts: Voltage = 1.0 / 1.0;
    /// A length from metres.
    metres: Length = 1.0 / 1.0;
    /// A length from millimetres.
    millimetres: Length = 1.0 / 1e3;
    /// An area from square millimetres.
    square_millimetres: Area = 1.0 / 1e6;
    /// An active power from watts.
    watts: Power = 1.0 / 1.0;
    /// A ratio from per cent.
    percent: Ratio = 1.0 / 1e2;
    /// A frequency from hertz.
    hertz: Frequency = 1.0 / 1.0;
    /// A time from seconds.
    seconds: Time = 1.0 / 1.0;
    /// A resistance from ohms.
    ohms: Resistance = 1.0 / 1.0;
    /// An apparent power from volt-amperes.
    volt_amperes: ApparentPower = 1.0 / 1.0;
    /// A let-through energy from ampere squared seconds.
    ampere_squared_seconds: EnergyLetThrough = 1.0 / 1.0;
}

/// A temperature from degrees Celsius.
pub fn degrees_celsius(number: f64) -> Temperature {
    Temperature::from_si(number + ICE_POINT)
}

macro_rules! getters {
    ($($(#[$doc:meta])* $name:ident: $type:ident = $over:literal / $under:literal;)+) => {
        $($(#[$doc])*
        fn $name(self) -> f64
        where
            Self: Into<$type>,
        {
            let quantity: $type = self.into();
            quantity.to_si() * $under / $over
        })+
    };
}

/// The number of a quantity in a unit named: `current.in_amperes()`.
///
/// Each function exists for its own quantity alone; asking a power for amperes does not compile.
pub trait InUnits: Copy {
    getters! {
        /// A current in amperes.
        in_amperes: Current = 1.0 / 1.0;
        /// A current in milliamperes.
        in_milliamperes: Current = 1.0 / 1e3;
        /// A voltage in volts.
        in_volts: Voltage = 1.0 / 1.0;
        /// A length in metres.
        in_metres: Length = 1.0 / 1.0;
        /// A length in millimetres.
        in_millimetres: Length = 1.0 / 1e3;
        /// An area in square millimetres.
        in_square_millimetres: Area = 1.0 / 1e6;
        /// An active power in watts.
        in_watts: Power = 1.0 / 1.0;
        /// A ratio in per cent.
        in_percent: Ratio = 1.0 / 1e2;
        /// A frequency in hertz.
        in_hertz: Frequency = 1.0 / 1.0;
        /// A time in seconds.
        in_seconds: Time = 1.0 / 1.0;
        /// A resistance in ohms.
        in_ohms: Resistance = 1.0 / 1.0;
        /// An apparent power in volt-amperes.
        in_volt_amperes: ApparentPower = 1.0 / 1.0;
        /// A let-through energy in ampere squared seconds.
        in_ampere_squared_seconds: EnergyLetThrough = 1.0 / 1.0;
        /// A length in feet.
        in_feet: Length = 0.3048 / 1.0;
        /// An active power in kilowatts.
        in_kilowatts: Power = 1e3 / 1.0;
        /// A ratio in parts of one.
        in_parts_of_one: Ratio = 1.0 / 1.0;
    }

    /// A temperature in degrees Celsius.
    fn in_degrees_celsius(self) -> f64
    where
        Self: Into<Temperature>,
    {
        let temperature: Temperature = self.into();
        temperature.to_si() - ICE_POINT
    }

    /// A height or position in rack units.
    fn in_rack_units(self) -> f64
    where
        Self: Into<RackUnits>,
    {
        let height: RackUnits = self.into();
        f64::from(height.halves()) / 2.0
    }
}

macro_rules! in_units {
    ($($type:ident),+) => { $(impl InUnits for $type {})+ };
}

in_units!(
    Current,
    Voltage,
    Length,
    Area,
    Power,
    ApparentPower,
    Temperature,
    Ratio,
    Frequency,
    Time,
    Resistance,
    EnergyLetThrough,
    RackUnits
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_come_back_as_they_went_in() {
        assert_eq!(amperes(10.0).in_amperes(), 10.0);
        assert!((milliamperes(30.0).in_amperes() - 0.03).abs() < 1e-15);
        assert!((metres(1.8288).in_feet() - 6.0).abs() < 1e-12);
        assert!((square_millimetres(1.5).in_square_millimetres() - 1.5).abs() < 1e-12);
        assert_eq!(volt_amperes(500.0).in_volt_amperes(), 500.0);
        assert!((degrees_celsius(30.0).in_degrees_celsius() - 30.0).abs() < 1e-9);
        assert_eq!(percent(80.0).in_parts_of_one(), 0.8);
    }

    /// Tables are looked up by these sizes (IEC 60228), so that not a bit may be lost.
    #[test]
    fn nominal_sizes_are_exact() {
        for size in [
            0.5, 0.75, 1.0, 1.25, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0,
            120.0,
        ] {
            assert_eq!(square_millimetres(size).in_square_millimetres(), size);
        }
    }
}
