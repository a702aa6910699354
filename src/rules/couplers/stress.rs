//! The nominal voltages at an element, and whether a coupler is made for them.

use crate::analysis::Analysis;
use crate::citation::{Citation, Cited};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::model::text::YesNo;
use crate::quantity::{Frequency, Quantity, Voltage};
use crate::tables::countries::{Country, Standing};
use crate::tables::couplers::{Coupler, Family, Frequencies, RatedVoltage, form_of_its_own};

/// Nominal voltages at an element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stress {
    /// The highest between any two conductors.
    pub voltage: Voltage,
    /// Between a line and the neutral, where both are there.
    pub to_neutral: Option<Voltage>,
    /// Between a line and earth, where the system is marked with it.
    pub to_earth: Option<Voltage>,
    /// The country, if the tables know it.
    country: Option<&'static Country>,
    /// The frequency, where the system is marked with it.
    pub frequency: Option<Frequency>,
    /// Whether it is a public supply, of which a frequency that is not marked is asked elsewhere.
    is_public: bool,
}

/// What is wrong with a coupler at a voltage.
pub enum Misfit {
    /// It is made for less.
    Above {
        voltage: Voltage,
        limit: Voltage,
        source: Citation,
    },
    /// Its keying stands for more.
    Below {
        voltage: Voltage,
        limit: Voltage,
        source: Citation,
    },
    /// Its configuration stands for more, and another one for this voltage.
    OtherForm {
        voltage: Voltage,
        made_for: Voltage,
        other: Voltage,
        sources: [Citation; 2],
    },
    /// Its name does not say what it is made for.
    NotSaid { voltage: Voltage, source: Citation },
    /// Its keying stands for other frequencies.
    Frequency {
        frequency: Frequency,
        made_for: Frequencies,
        source: Citation,
    },
    /// Its keying stands for some frequencies, and that of the supply is not known.
    NoFrequency {
        made_for: Frequencies,
        source: Citation,
    },
}

impl Stress {
    /// The nominal voltages at an element; `None` where its conductors or its system are not known.
    /// The plug of a PDU is at all voltages of what it is plugged into, whatever its banks use.
    pub fn at(analysis: &Analysis<'_>, id: ElementId) -> Option<Self> {
        let id = match analysis.graph.kind(id) {
            ElementKind::Pdu(_) => analysis.graph.element(id).feeder?,
            _ => id,
        };
        let supply = &analysis.model.supplies[analysis.graph.supply_of(id)?];
        let system = supply.system.known()?;
        let has_neutral = analysis.graph.conductor(id, Pole::N).is_some();
        let to_neutral = system.line_to_neutral.filter(|_| has_neutral);
        let is_pair = analysis.graph.conductors_of(id).len() == 2;
        let voltage = match analysis.flows.nominal_voltage(analysis.graph, id) {
            Some(nominal) if is_pair => Some(rounded(nominal, [to_neutral, system.line_to_line])),
            _ if analysis.graph.conductors_of(id).is_empty() => None,
            _ => system.line_to_line.or(to_neutral),
        };
        Some(Self {
            voltage: voltage?,
            to_neutral,
            to_earth: system.line_to_neutral,
            country: analysis.site_country(),
            frequency: system.frequency,
            is_public: supply.public.unless_written(YesNo(true)) == Ok(YesNo(true)),
        })
    }

    /// Whether a coupler is not made for these voltages, or not for their frequency.
    pub fn misfit(&self, coupler: &Coupler) -> Option<Misfit> {
        let of_voltage = self.misfit_of_voltage(coupler);
        of_voltage.or_else(|| self.misfit_of_frequency(coupler))
    }

    /// What is not marked of a public supply is 50 Hz or 60 Hz; which of them is asked elsewhere.
    fn misfit_of_frequency(&self, coupler: &Coupler) -> Option<Misfit> {
        let Cited { value, citation } = coupler.frequencies.as_ref()?;
        let (made_for, source) = (*value, citation.clone());
        match self.frequency {
            Some(frequency) if made_for.contains(frequency) => None,
            Some(frequency) => Some(Misfit::Frequency {
                frequency,
                made_for,
                source,
            }),
            None if self.is_public && made_for.are_of_mains() => None,
            None => Some(Misfit::NoFrequency { made_for, source }),
        }
    }

    fn misfit_of_voltage(&self, coupler: &Coupler) -> Option<Misfit> {
        let Some(rated) = &coupler.voltage else {
            return self.misfit_of_no_range(coupler);
        };
        let source = || rated.citation.clone();
        let range = rated.value;
        if self.is_at_home(coupler, range) {
            return None;
        }
        if self.voltage > range.highest {
            return Some(Misfit::Above {
                voltage: self.voltage,
                limit: range.highest,
                source: source(),
            });
        }
        if let Some((voltage, limit)) = self.to_neutral.zip(range.to_neutral)
            && voltage > limit
        {
            return Some(Misfit::Above {
                voltage,
                limit,
                source: source(),
            });
        }
        if let Some((_, other)) = form_of_its_own(coupler, self.voltage) {
            return Some(Misfit::OtherForm {
                voltage: self.voltage,
                made_for: range.highest,
                other: other.value.highest,
                sources: [source(), other.citation.clone()],
            });
        }
        let lowest = range.lowest.filter(|lowest| self.voltage < *lowest)?;
        Some(Misfit::Below {
            voltage: self.voltage,
            limit: lowest,
            source: source(),
        })
    }
}

impl Stress {
    /// Whether a coupler is a wall plug of the country, at the voltage that is usual there and within a fiftieth
    /// of what it is made for: a form for 125 V serves 127 V where that is the mains.
    fn is_at_home(&self, coupler: &Coupler, range: RatedVoltage) -> bool {
        let near = |a: Voltage, b: Voltage| ((a - b) / b).abs() < crate::quantity::percent(2.0);
        let Some(country) = self.country else {
            return false;
        };
        let is_mains = |mains: &Voltage| near(self.voltage, *mains);
        country.standing(coupler) == Standing::Usual
            && country.voltages.value.iter().any(is_mains)
            && near(self.voltage, range.highest)
            && range.to_neutral.is_none()
    }

    /// Of a coupler that stands for no range of voltages; only the keying of IEC 60309 leaves it open.
    fn misfit_of_no_range(&self, coupler: &Coupler) -> Option<Misfit> {
        let voltage = self.voltage;
        let above = coupler.frequencies.as_ref().and_then(|known| {
            let above = known.value.above?;
            Some((above, known.citation.clone()))
        });
        match above {
            Some((above, _)) if voltage > above => None,
            Some((limit, source)) => Some(Misfit::Below {
                voltage,
                limit,
                source,
            }),
            None => (coupler.family == Family::Iec60309).then(|| Misfit::NotSaid {
                voltage,
                source: coupler.citation.clone(),
            }),
        }
    }
}

/// What a coupler is made for: `up to 250 V`, `200 V to 250 V`.
pub fn made_for(rated: RatedVoltage) -> String {
    let highest = rated.highest.show();
    match rated.lowest {
        Some(lowest) => format!("{} to {highest}", lowest.show()),
        None => format!("up to {highest}"),
    }
}

/// The marked voltage that a computed one stands for: 400/230 V is rounded, 230 V × √3 is not.
fn rounded(computed: Voltage, marked: [Option<Voltage>; 2]) -> Voltage {
    let near =
        |marked: &Voltage| ((computed - *marked) / *marked).abs() < crate::quantity::percent(2.0);
    marked.into_iter().flatten().find(near).unwrap_or(computed)
}
