//! The frequencies that an earth position of IEC 60309 stands for.

use serde::Deserialize;

use crate::quantity::{Frequency, InUnits, Quantity, Voltage, hertz, volts};

/// From one frequency to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frequencies {
    lowest: Frequency,
    highest: Frequency,
    /// Whether the lowest is not one of them.
    is_above: bool,
    /// Where the position stands for no range of voltages: the voltage that it must be above.
    pub above: Option<Voltage>,
}

/// As a row of the table has them.
#[derive(Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Hertz {
    from: Option<f64>,
    above: Option<f64>,
    upto: f64,
}

impl Hertz {
    pub fn read(self, above_volts: Option<f64>) -> Frequencies {
        let lowest = self.from.or(self.above).unwrap_or(self.upto);
        Frequencies {
            lowest: hertz(lowest),
            highest: hertz(self.upto),
            is_above: self.above.is_some(),
            above: above_volts.map(volts),
        }
    }
}

impl Frequencies {
    /// Whether a nominal frequency, which is a round number, is one of them.
    pub fn contains(&self, frequency: Frequency) -> bool {
        let hair = hertz(1e-6);
        let is_high_enough = match self.is_above {
            true => frequency > self.lowest + hair,
            false => frequency >= self.lowest - hair,
        };
        is_high_enough && frequency <= self.highest + hair
    }

    /// Whether they are those of the public supply.
    pub fn are_of_mains(&self) -> bool {
        self.contains(hertz(50.0)) || self.contains(hertz(60.0))
    }

    /// `50 Hz and 60 Hz`, `100 Hz to 300 Hz`, `more than 300 Hz up to 500 Hz`.
    pub fn show(&self) -> String {
        let (lowest, highest) = (self.lowest.show(), self.highest.show());
        match self.is_above {
            true => format!("more than {lowest} up to {highest}"),
            false if self.are_of_mains() && self.highest.in_hertz() < 61.0 => {
                format!("{lowest} and {highest}")
            }
            false => format!("{lowest} to {highest}"),
        }
    }
}
