//! What the rows of every coupler table have in common.

use serde::Deserialize;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;

use super::{Coupler, Earth, Family, Key, Neutral, Poles, Rated, RatedVoltage, Role};
use crate::citation::{Citation, Cited};
use crate::quantity::{Current, Voltage};
use crate::tables::{Provenance, Table};

/// A current with its source.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Amperes {
    amperes: f64,
    from: Provenance,
}

impl Amperes {
    /// The current, cited from the head of `table`.
    pub(super) fn cited<Row>(&self, table: &Table<Row>) -> Cited<Current> {
        Cited {
            value: Current::new::<ampere>(self.amperes),
            citation: table.cite(&self.from),
        }
    }
}

/// A rating from its two figures.
pub(super) fn rated<Row>(
    table: &Table<Row>,
    plain: Option<&Amperes>,
    marked: Option<&Amperes>,
) -> Rated {
    Rated {
        current: plain.map(|figure| figure.cited(table)),
        only_where_marked: marked.map(|figure| figure.cited(table)),
    }
}

/// The poles and ratings that a configuration table gives of a face, the same under either practice.
pub(super) struct Face {
    pub lines: u8,
    pub neutral: Neutral,
    pub earth: Earth,
    /// The highest voltage, and that to neutral where it is lower.
    pub volts: Cited<RatedVoltage>,
    pub current: Cited<Current>,
    pub polarised: Option<bool>,
    pub locking: bool,
    /// What its mating goes by: NEMA series, or the face itself.
    pub series: String,
}

impl Face {
    /// A coupler of which both halves go by the name of the face.
    pub fn coupler(self, name: String, citation: Citation) -> Coupler {
        let rated = Rated {
            current: Some(self.current),
            only_where_marked: None,
        };
        Coupler {
            poles: Poles {
                lines: self.lines,
                neutral: self.neutral,
            },
            earth: self.earth,
            voltage: Some(self.volts),
            polarised: self.polarised,
            locking: self.locking,
            key: Key::Nema {
                series: self.series,
            },
            iec: rated.clone(),
            nec: rated,
            ..blank(name, Family::Nema, Role::Either, citation)
        }
    }
}

/// A rated voltage from figures in volts.
pub(super) fn volts(highest: f64, to_neutral: Option<f64>, lowest: Option<f64>) -> RatedVoltage {
    let voltage = Voltage::new::<volt>;
    RatedVoltage {
        highest: voltage(highest),
        to_neutral: to_neutral.map(voltage),
        lowest: lowest.map(voltage),
    }
}

/// Two poles, the second neutral or line as the supply has it.
pub(super) const TWO_POLES: Poles = Poles {
    lines: 1,
    neutral: Neutral::ByWiring,
};

/// A two-pole coupler without earth or ratings, for the tables to fill in.
pub(super) fn blank(name: String, family: Family, role: Role, citation: Citation) -> Coupler {
    Coupler {
        name,
        family,
        role,
        poles: TWO_POLES,
        earth: Earth::None,
        voltage: None,
        frequencies: None,
        pin_temperature: None,
        polarised: None,
        fused: false,
        locking: false,
        withdrawn: false,
        accepts: Vec::new(),
        citation,
        key: Key::Named,
        iec: Rated::default(),
        nec: Rated::default(),
        plug: None,
        face: None,
        aliases: Vec::new(),
        index: 0,
    }
}
