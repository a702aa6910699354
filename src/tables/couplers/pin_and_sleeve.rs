//! IEC 60309 pin-and-sleeve couplers: every size, pole count and earth position.

use std::fmt;

use serde::Deserialize;

use super::frequencies::{Frequencies, Hertz};
use super::row::{Amperes, TWO_POLES, blank, rated, volts};
use super::{Coupler, Earth, Family, Key, Neutral, Poles, Role};
use crate::citation::{Cited, Confidence};
use crate::tables::{Provenance, Table};

/// The series of IEC 60309-2: same sizes, different rated currents.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Series {
    /// 16, 32, 63 and 125 A.
    I,
    /// 20, 30, 60 and 100 A, in North America.
    Ii,
}

/// The pole counts of IEC 60309.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub(crate) enum PoleCount {
    #[serde(rename = "2P+E")]
    TwoPole,
    /// Two lines and their neutral, in series II only.
    #[serde(rename = "2P+N+E")]
    TwoPoleNeutral,
    #[serde(rename = "3P+E")]
    ThreePole,
    #[serde(rename = "3P+N+E")]
    ThreePoleNeutral,
}

impl PoleCount {
    pub(super) const ALL: [Self; 4] = [
        Self::TwoPole,
        Self::TwoPoleNeutral,
        Self::ThreePole,
        Self::ThreePoleNeutral,
    ];

    /// The earth position that goes without saying, where there is no other.
    pub(super) fn only_hour(self) -> Option<u8> {
        (self == Self::TwoPoleNeutral).then_some(12)
    }

    /// How many contacts there are, the earth among them.
    pub(super) fn contacts(self) -> u8 {
        self.poles().count() + 1
    }

    fn poles(self) -> Poles {
        let (lines, neutral) = match self {
            Self::TwoPole => return TWO_POLES,
            Self::TwoPoleNeutral => (2, Neutral::Own),
            Self::ThreePole => (3, Neutral::None),
            Self::ThreePoleNeutral => (3, Neutral::Own),
        };
        Poles { lines, neutral }
    }
}

impl fmt::Display for PoleCount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TwoPole => "2P+E",
            Self::TwoPoleNeutral => "2P+N+E",
            Self::ThreePole => "3P+E",
            Self::ThreePoleNeutral => "3P+N+E",
        })
    }
}

/// What the mating of a pin-and-sleeve coupler depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PinAndSleeve {
    /// Current of the name, in amperes.
    pub amperes: u16,
    /// Series of that current.
    pub series: Series,
    /// Housing size, 1 (16/20 A) to 4 (125/100 A).
    pub size: u8,
    pub(crate) poles: PoleCount,
    /// Position of the earth contact, 1 to 12; `None` where the name does not say.
    pub hour: Option<u8>,
}

impl PinAndSleeve {
    /// The earth position, 6 h where the name does not say: much the commonest one, and no more than that.
    pub fn usual_hour(self) -> u8 {
        self.hour.unwrap_or(6)
    }
}

/// The canonical name.
pub(super) fn name(amperes: u16, poles: PoleCount, hour: Option<u8>) -> String {
    match hour {
        Some(hour) => format!("IEC 60309 {amperes} A {poles} {hour}h"),
        None => format!("IEC 60309 {amperes} A {poles}"),
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SizeRow {
    amperes: u16,
    series: Series,
    size: u8,
    iec: Amperes,
    nec: Amperes,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct HourRow {
    poles: PoleCount,
    hour: u8,
    /// The only series that has the position; both where none is given.
    series: Option<Series>,
    volts: Option<(f64, f64)>,
    volts_to_neutral: Option<f64>,
    hertz: Option<Hertz>,
    above_volts: Option<f64>,
    from: Provenance,
}

/// Every size in every pole count, with each earth position of the table and without any.
pub(super) fn couplers() -> Vec<Coupler> {
    let sizes: Table<SizeRow> = Table::embedded(
        "couplers-iec-60309-sizes",
        include_str!("../data/couplers-iec-60309-sizes.yaml"),
    );
    let hours: Table<HourRow> = Table::embedded(
        "couplers-iec-60309-hours",
        include_str!("../data/couplers-iec-60309-hours.yaml"),
    );
    let mut couplers = Vec::new();
    for size in &sizes.rows {
        let is_of_size = |row: &&HourRow| row.series.is_none_or(|series| series == size.series);
        for row in hours.rows.iter().filter(is_of_size) {
            couplers.push(coupler(&sizes, size, row.poles, Some((&hours, row))));
        }
        for poles in PoleCount::ALL
            .into_iter()
            .filter(|poles| poles.only_hour().is_none())
        {
            couplers.push(coupler(&sizes, size, poles, None));
        }
    }
    couplers
}

fn coupler(
    sizes: &Table<SizeRow>,
    size: &SizeRow,
    poles: PoleCount,
    keyed: Option<(&Table<HourRow>, &HourRow)>,
) -> Coupler {
    let key = PinAndSleeve {
        amperes: size.amperes,
        series: size.series,
        size: size.size,
        poles,
        hour: keyed.map(|(_, row)| row.hour),
    };
    let iec = size.iec.cited(sizes);
    let nec = size.nec.cited(sizes);
    let citation = match size.series {
        Series::I => iec.citation,
        Series::Ii => nec.citation,
    };
    Coupler {
        poles: poles.poles(),
        earth: Earth::Contact,
        voltage: keyed.and_then(|(hours, row)| voltage(hours, row, size.series)),
        frequencies: keyed.and_then(|(hours, row)| frequencies(hours, row)),
        polarised: Some(true),
        key: Key::PinAndSleeve(key),
        iec: rated(sizes, Some(&size.iec), None),
        nec: rated(sizes, Some(&size.nec), None),
        ..blank(
            name(key.amperes, poles, key.hour),
            Family::Iec60309,
            Role::Either,
            citation,
        )
    }
}

/// The frequencies that an earth position stands for.
fn frequencies(hours: &Table<HourRow>, row: &HourRow) -> Option<Cited<Frequencies>> {
    let value = row.hertz?.read(row.above_volts);
    let mut citation = hours.cite(&row.from);
    citation.confidence = citation.confidence.max(Confidence::FromMemory);
    Some(Cited { value, citation })
}

/// The voltage that an earth position stands for. The table read is that of series I.
fn voltage(
    hours: &Table<HourRow>,
    row: &HourRow,
    series: Series,
) -> Option<Cited<super::RatedVoltage>> {
    let (lowest, highest) = row.volts?;
    let mut citation = hours.cite(&row.from);
    if series == Series::Ii {
        citation.confidence = citation.confidence.max(Confidence::FromMemory);
    }
    Some(Cited {
        value: volts(highest, row.volts_to_neutral, Some(lowest)),
        citation,
    })
}
