//! What a country has at the place for which a supply is marked.

use crate::citation::{Citation, Cited, Confidence};
use crate::quantity::{Quantity, SystemMarking, Voltage};
use crate::tables::countries::Country;

/// √3.
const ROOT_3: f64 = 1.732_050_807_568_877_2;

/// A marked voltage, and those of the country at the same place.
pub(super) struct Usual {
    /// `from line to neutral` or `between lines`.
    pub place: &'static str,
    pub marked: Voltage,
    /// Nominal voltages of the country, each once, that of the public supply first.
    volts: Vec<Cited<Voltage>>,
}

impl Usual {
    /// What the country has where `marking` gives a voltage; to the neutral before that between lines.
    pub fn of(country: &Country, marking: &SystemMarking) -> Option<Self> {
        let three = country.three_phase.iter().chain(&country.also_met);
        let mut volts = Vec::new();
        let mut take = |list: &Cited<Vec<Voltage>>, times: f64| {
            list.value
                .iter()
                .for_each(|voltage| add(&mut volts, *voltage * times, &list.citation));
        };
        let (place, marked) = match (marking.line_to_neutral, marking.line_to_line) {
            (Some(marked), _) => {
                take(&country.voltages, 1.0);
                let stars = three.skip(usize::from(!country.has_star));
                stars.for_each(|list| take(list, ROOT_3.recip()));
                ("from line to neutral", marked)
            }
            (None, Some(marked)) => {
                three.for_each(|list| take(list, 1.0));
                // Two lines in opposition, or two of a star.
                take(&country.voltages, 2.0);
                take(&country.voltages, ROOT_3);
                ("between lines", marked)
            }
            (None, None) => return None,
        };
        Some(Self {
            place,
            marked,
            volts,
        })
    }

    /// Whether the marked voltage lies within this share of one that the country has.
    pub fn has_marked(&self, band: f64) -> bool {
        self.volts
            .iter()
            .any(|usual| is_near(self.marked, usual.value, band))
    }

    /// Whether sources disagree on one of them, so that being none of them proves nothing.
    pub fn is_disputed(&self) -> bool {
        let mut volts = self.volts.iter();
        volts.any(|usual| usual.citation.confidence == Confidence::Disputed)
    }

    /// Where they are read.
    pub fn basis(&self) -> impl Iterator<Item = &Citation> {
        self.volts.iter().map(|usual| &usual.citation)
    }

    /// The voltages of the country in whole volts: `120 V, 277 V or 240 V`.
    pub fn listed(&self) -> String {
        let shown = self.volts.iter().map(|usual| in_whole_volts(usual.value));
        super::either(&shown.collect::<Vec<String>>())
    }
}

/// Adds a voltage that is not there yet but for the rounding of nominal voltages (common practice: 2 %).
fn add(volts: &mut Vec<Cited<Voltage>>, value: Voltage, citation: &Citation) {
    const ROUNDED: f64 = 0.02;
    if !volts
        .iter()
        .any(|known| is_near(value, known.value, ROUNDED))
    {
        let citation = citation.clone();
        volts.push(Cited { value, citation });
    }
}

fn is_near(voltage: Voltage, nominal: Voltage, share: f64) -> bool {
    (voltage - nominal).abs() <= nominal * (share + 1e-9)
}

/// Nominal voltages are given in whole volts.
fn in_whole_volts(voltage: Voltage) -> String {
    let whole = voltage.value.round();
    Voltage {
        value: whole,
        ..voltage
    }
    .show()
}
