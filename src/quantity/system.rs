//! The marking of a supply system: its conductors, voltages and frequency.

use super::{Form, Frequency, Misread, Quantity, Voltage};

mod marking;

#[cfg(test)]
mod tests;

/// How the voltages of a system lie to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Arrangement {
    /// One voltage only: a line and the neutral, or two lines without one.
    Single,
    /// Two lines in opposition about the neutral: line to line is twice line to neutral.
    SplitPhase,
    /// Two of the three lines of a wye: line to line is √3 times line to neutral.
    TwoOfWye,
    /// Three lines about a neutral point: line to line is √3 times line to neutral.
    Wye,
    /// Three lines marked with the voltage between them alone, whichever way the source is wound.
    Delta,
}

/// A supply system as it is marked (IEC 61293, from memory, verify): `3/N/PE ~ 400/230 V 50 Hz`.
///
/// American markings of the same systems are read too: `208Y/120 V` and `120/240 V`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SystemMarking {
    /// How many line conductors: 1, 2 or 3.
    pub lines: u8,
    /// Whether a neutral is marked.
    pub neutral: bool,
    /// Whether a protective conductor is marked; American markings never do.
    pub protective_earth: bool,
    /// The voltage between lines, where there are two or more.
    pub line_to_line: Option<Voltage>,
    /// The voltage from line to neutral, where it is marked.
    pub line_to_neutral: Option<Voltage>,
    /// The frequency, where it is marked.
    pub frequency: Option<Frequency>,
    /// How the voltages lie to each other.
    pub arrangement: Arrangement,
}

impl Quantity for SystemMarking {
    const WHAT: &'static str = "a system marking";
    const EXAMPLE: &'static str = "3/N/PE ~ 400/230 V 50 Hz";

    /// # Errors
    /// Besides text that cannot be read: voltages that do not fit the conductors, where line to line is
    /// neither √3 nor 2 times line to neutral within 2 % (nominal voltages are rounded; common practice).
    fn read(text: &str) -> Result<Self, Misread> {
        marking::read(text)
    }

    fn form() -> Form {
        marking::form()
    }

    fn show(&self) -> String {
        let mut shown = self.lines.to_string();
        if self.neutral {
            shown.push_str("/N");
        }
        if self.protective_earth {
            shown.push_str("/PE");
        }
        shown.push_str(" ~ ");
        let voltages = [self.line_to_line, self.line_to_neutral];
        let voltages: Vec<String> = voltages
            .iter()
            .flatten()
            .map(|voltage| volts(*voltage))
            .collect();
        shown.push_str(&voltages.join("/"));
        shown.push_str(" V");
        if let Some(frequency) = self.frequency {
            shown.push(' ');
            shown.push_str(&frequency.show());
        }
        shown
    }
}

/// The number of volts; both voltages of a marking share one unit.
fn volts(voltage: Voltage) -> String {
    super::show::significant(super::InUnits::in_volts(voltage), 4, true)
}
