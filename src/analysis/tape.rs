//! Lengths as they are bought and taped where the site is.

use crate::quantity::{InUnits, Length, Quantity, millimetres};
use crate::tables::Practice;

use super::Analysis;

const MILLIMETRES_AN_INCH: f64 = 25.4;

impl Analysis<'_> {
    /// Whether lengths are bought and taped in feet and inches.
    fn is_in_feet(&self) -> bool {
        self.practice() == Some(Practice::Nec)
    }

    /// A length as it is bought and taped: `2 m`, under NEC practice `6 ft` or `5 ft 3 in`.
    pub fn on_tape(&self, length: Length) -> String {
        if !self.is_in_feet() {
            return length.show();
        }
        let inches = (length.in_millimetres() / MILLIMETRES_AN_INCH).round() as u64;
        match (inches / 12, inches % 12) {
            (0, inches) => format!("{inches} in"),
            (feet, 0) => format!("{feet} ft"),
            (feet, inches) => format!("{feet} ft {inches} in"),
        }
    }

    /// The next whole centimetre, under NEC practice the next whole inch: what must be ordered at least.
    pub fn rounded_up(&self, length: Length) -> Length {
        let step = match self.is_in_feet() {
            true => MILLIMETRES_AN_INCH,
            false => 10.0,
        };
        millimetres((length.in_millimetres() / step - 1e-9).ceil() * step)
    }
}
