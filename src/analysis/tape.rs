//! Lengths as they are bought and taped where the site is.

use crate::quantity::{InUnits, Length, Quantity, millimetres};
use crate::tables::Practice;

use super::Analysis;

const MILLIMETRES_AN_INCH: f64 = 25.4;

/// Whether a length is a whole number of steps.
fn is_whole(length: Length, step_millimetres: f64) -> bool {
    let steps = length.in_millimetres() / step_millimetres;
    (steps - steps.round()).abs() < 1e-6
}

impl Analysis<'_> {
    /// Whether lengths are bought and taped in feet and inches: as most lengths of cord are written, and where
    /// they do not tell, under NEC practice.
    fn is_in_feet(&self) -> bool {
        self.shared.is_in_feet(|| {
            let types = self.model.cord_types.items().iter();
            let types = types.filter_map(|kind| kind.length.known().copied());
            let stock = self.model.site.stock_lengths.iter();
            let stock = stock.map(|length| length.value);
            let (mut feet, mut metres) = (0, 0);
            for length in types.chain(stock) {
                match (
                    is_whole(length, MILLIMETRES_AN_INCH),
                    is_whole(length, 10.0),
                ) {
                    (true, false) => feet += 1,
                    (false, true) => metres += 1,
                    _ => {}
                }
            }
            match feet == metres {
                true => self.practice() == Some(Practice::Nec),
                false => feet > metres,
            }
        })
    }

    /// A length as it is bought and taped: `2 m`, or `6 ft` and `5 ft 3 in`.
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

    /// The next whole centimetre, or the next whole inch: what must be ordered at least.
    pub fn rounded_up(&self, length: Length) -> Length {
        let step = match self.is_in_feet() {
            true => MILLIMETRES_AN_INCH,
            false => 10.0,
        };
        millimetres((length.in_millimetres() / step - 1e-9).ceil() * step)
    }
}
