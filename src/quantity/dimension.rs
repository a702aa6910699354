//! What can be measured, in which units it is written, and between which bounds it is believed.

use super::unit::{self, Unit};

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Dimension {
    Current,
    Voltage,
    Length,
    Area,
    Active,
    Apparent,
    Temperature,
    Ratio,
    Frequency,
    Time,
    Resistance,
    RackUnits,
    LetThrough,
}

/// Bounds outside which a value is taken for a slip of the pen, in SI units.
///
/// They are no limits of any standard: they are common practice, wide enough that nothing real falls outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plausible {
    /// The smallest value believed; zero is asked about apart.
    pub low: f64,
    /// The largest value believed.
    pub high: f64,
    /// Why these bounds, in words that finish "believed here: … to …: ".
    pub why: &'static str,
    /// Why zero makes no sense, where it does not.
    pub zero_refused: Option<&'static str>,
}

/// The bounds within which each quantity is believed (common practice, each with its reason).
pub mod plausible {
    use super::Plausible;

    const fn bounds(low: f64, high: f64, why: &'static str) -> Plausible {
        Plausible {
            low,
            high,
            why,
            zero_refused: None,
        }
    }

    const fn above_zero(low: f64, high: f64, why: &'static str, zero: &'static str) -> Plausible {
        Plausible {
            low,
            high,
            why,
            zero_refused: Some(zero),
        }
    }

    /// 0.01 mA to 200 kA; zero is a real draw.
    pub const CURRENT: Plausible = bounds(
        1e-5,
        200e3,
        "from the least a leakage clamp shows to the highest breaking capacity of low-voltage fuses",
    );
    /// 1 mV to 36 kV: voltage drops to the highest medium-voltage supply of a building.
    pub const VOLTAGE: Plausible = above_zero(
        1e-3,
        36e3,
        "from a measured voltage drop to the highest medium voltage brought to a building",
        "a voltage of zero feeds nothing",
    );
    /// 1 mm to 5 km.
    pub const LENGTH: Plausible = above_zero(
        1e-3,
        5e3,
        "from a clearance that can be measured to the longest low-voltage run",
        "a length of zero would have no resistance and reach nowhere",
    );
    /// 0.05 mm² to 1000 mm².
    pub const AREA: Plausible = above_zero(
        0.05e-6,
        1000e-6,
        "from a signal wire to the largest single conductor laid",
        "a conductor without cross-section carries nothing",
    );
    /// 0.1 W to 100 MW; zero is a real draw.
    pub const ACTIVE: Plausible = bounds(
        0.1,
        100e6,
        "from an idle sensor to a whole large data centre",
    );
    /// 0.1 VA to 100 MVA; zero is a real draw.
    pub const APPARENT: Plausible = bounds(
        0.1,
        100e6,
        "from an idle sensor to the transformers of a large data centre",
    );
    /// −60 °C to 250 °C, in kelvin.
    pub const TEMPERATURE: Plausible = bounds(
        273.15 - 60.0,
        273.15 + 250.0,
        "from polar open air to a conductor at the end of a short circuit",
    );
    /// 0.001 % to 200 %; zero is a real tolerance.
    pub const RATIO: Plausible = bounds(
        1e-5,
        2.0,
        "a part of the whole, up to the 173 % that a neutral full of harmonics may carry",
    );
    /// 1 Hz to 1 kHz.
    pub const FREQUENCY: Plausible = above_zero(
        1.0,
        1e3,
        "supplies run at 16.7 Hz, 50 Hz, 60 Hz or 400 Hz",
        "direct current has no frequency",
    );
    /// 0.1 ms to one day; zero is a real delay.
    pub const TIME: Plausible = bounds(
        1e-4,
        86_400.0,
        "from the fastest fuse to a day's bridging time",
    );
    /// 0.001 mohm to 1 Mohm.
    pub const RESISTANCE: Plausible = above_zero(
        1e-6,
        1e6,
        "from a busbar joint to an insulation test",
        "a resistance of zero would make the fault current endless: write the least the meter shows",
    );
    /// 0 U to 60 U, counted in units; 0 U is a thing mounted beside the units.
    pub const RACK_UNITS: Plausible = bounds(0.5, 60.0, "no rack on the market is taller");
    /// 1 A²s to 10⁹ A²s.
    pub const LET_THROUGH: Plausible = above_zero(
        1.0,
        1e9,
        "from a fuse of some milliamperes to a large air circuit-breaker",
        "no device clears a fault without letting energy through",
    );
}

/// All that reading and writing must know of a dimension.
pub(super) struct Description {
    /// With its article: `a current`.
    pub name: &'static str,
    /// `10 A`
    pub example: &'static str,
    /// In the order in which they are offered.
    pub units: &'static [Unit],
    /// From which value, in SI units, which unit is written; the last is for all that is smaller.
    pub steps: &'static [(f64, &'static Unit)],
    pub plausible: Plausible,
}

impl Dimension {
    pub const ALL: [Self; 13] = [
        Self::Current,
        Self::Voltage,
        Self::Length,
        Self::Area,
        Self::Active,
        Self::Apparent,
        Self::Temperature,
        Self::Ratio,
        Self::Frequency,
        Self::Time,
        Self::Resistance,
        Self::RackUnits,
        Self::LetThrough,
    ];

    pub const fn describe(self) -> &'static Description {
        match self {
            Self::Current => &CURRENT,
            Self::Voltage => &VOLTAGE,
            Self::Length => &LENGTH,
            Self::Area => &AREA,
            Self::Active => &ACTIVE,
            Self::Apparent => &APPARENT,
            Self::Temperature => &TEMPERATURE,
            Self::Ratio => &RATIO,
            Self::Frequency => &FREQUENCY,
            Self::Time => &TIME,
            Self::Resistance => &RESISTANCE,
            Self::RackUnits => &RACK_UNITS,
            Self::LetThrough => &LET_THROUGH,
        }
    }

    /// The unit in which `value`, in SI units, is best written.
    pub fn unit_for(self, value: f64) -> &'static Unit {
        let Description { steps, units, .. } = self.describe();
        let has_size = value.is_finite() && value != 0.0;
        let fits = steps
            .iter()
            .find(|(from, _)| has_size && value.abs() >= *from);
        fits.map_or(&units[0], |(_, unit)| unit)
    }
}

macro_rules! describe {
    ($name:ident: $what:literal, $example:literal, [$(($from:expr, $index:literal)),+]) => {
        static $name: Description = Description {
            name: $what,
            example: $example,
            units: unit::$name,
            steps: &[$(($from, &unit::$name[$index])),+],
            plausible: plausible::$name,
        };
    };
}

// Currents below 0.1 A are leakage and residual currents, which the trade gives in mA.
describe!(CURRENT: "a current", "10 A", [(1e3, 2), (0.1, 0), (0.0, 1)]);
describe!(VOLTAGE: "a voltage", "230 V", [(1e3, 1), (0.1, 0), (0.0, 2)]);
// Below 0.1 m lie clearances and pitches, which drawings give in mm.
describe!(LENGTH: "a length", "1.5 m", [(1e3, 3), (0.1, 0), (0.0, 1)]);
describe!(AREA: "a conductor cross-section", "1.5 mm²", [(0.0, 0)]);
describe!(ACTIVE: "an active power", "420 W", [(1e6, 2), (1e3, 1), (0.0, 0)]);
describe!(APPARENT: "an apparent power", "500 VA", [(1e6, 2), (1e3, 1), (0.0, 0)]);
describe!(TEMPERATURE: "a temperature", "30 °C", [(0.0, 0)]);
describe!(RATIO: "a percentage", "80 %", [(0.0, 0)]);
describe!(FREQUENCY: "a frequency", "50 Hz", [(0.0, 0)]);
describe!(TIME: "a time", "0.4 s", [(600.0, 2), (0.1, 0), (0.0, 1)]);
describe!(RESISTANCE: "a resistance", "0.35 ohm", [(0.1, 0), (0.0, 1)]);
describe!(RACK_UNITS: "a number of rack units", "44 U", [(0.0, 0)]);
describe!(LET_THROUGH: "a let-through energy", "15 kA²s", [(1e3, 1), (0.0, 0)]);
