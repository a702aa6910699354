//! What a cord set is tested for when it comes, and how many of a delivery are looked at.

use std::sync::LazyLock;

use serde::Deserialize;

use super::conductors::{ConductorClass, Side, resistance_per_metre};
use super::{Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{ConductorSize, Length, Resistance, degrees_celsius, ohms};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Limit {
    CouplerResistance,
    Insulation,
    Sample,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    limit: Limit,
    ohms: Option<f64>,
    megohms: Option<f64>,
    volts: Option<f64>,
    all_up_to: Option<usize>,
    percent: Option<usize>,
    at_least: Option<usize>,
    #[serde(flatten)]
    provenance: Provenance,
}

static ROWS: LazyLock<Vec<(Row, Citation)>> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("cord_tests", include_str!("data/cord_tests.yaml"));
    let cite = |row: &Row| table.cite(&row.provenance);
    let citations: Vec<_> = table.rows.iter().map(cite).collect();
    table.rows.into_iter().zip(citations).collect()
});

fn row(limit: Limit) -> Option<&'static (Row, Citation)> {
    ROWS.iter().find(|(row, _)| row.limit == limit)
}

/// What a test room is at, in degrees Celsius: the temperature that tables print resistances for.
const ROOM_CELSIUS: f64 = 20.0;

/// The most that the earth conductor of a cord set measures from contact to pin at 20 °C: its conductor and the two
/// couplers.
pub fn earth_resistance(size: ConductorSize, length: Length) -> Option<Cited<Resistance>> {
    let (row, citation) = row(Limit::CouplerResistance)?;
    let room = degrees_celsius(ROOM_CELSIUS);
    let conductor = resistance_per_metre(size, ConductorClass::Flexible, room, Side::Highest);
    Some(Cited {
        value: conductor.cited()?.value.over(length) + ohms(row.ohms?),
        citation: citation.clone(),
    })
}

/// Insulation at a direct voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Insulation {
    /// The least, in megohms.
    pub megohms: f64,
    /// The direct voltage that it is measured at.
    pub volts: f64,
}

/// What the insulation of a cord set measures at the least.
pub fn insulation() -> Option<Cited<Insulation>> {
    let (row, citation) = row(Limit::Insulation)?;
    let value = Insulation {
        megohms: row.megohms?,
        volts: row.volts?,
    };
    Some(Cited {
        value,
        citation: citation.clone(),
    })
}

/// How many of a delivery are looked at: all of a small one.
pub fn sample(delivered: usize) -> Option<Cited<usize>> {
    let (row, citation) = row(Limit::Sample)?;
    let value = match delivered <= row.all_up_to? {
        true => delivered,
        false => (delivered * row.percent?).div_ceil(100).max(row.at_least?),
    };
    Some(Cited {
        value,
        citation: citation.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{InUnits, metres};

    /// IEC 60228 Table 3: 1 mm² in class 5 has 19.5 Ω/km plain, 20.0 Ω/km coated, at 20 °C.
    #[test]
    fn the_earth_of_two_metres_of_a_square_millimetre() {
        let size = ConductorSize::Metric(crate::quantity::square_millimetres(1.0));
        let limit = earth_resistance(size, metres(2.0)).unwrap();
        assert!((limit.value.in_ohms() - 0.140).abs() < 1e-3, "{limit:?}");
        assert!(insulation().is_some());
    }

    #[test]
    fn all_of_a_small_delivery_and_some_of_a_large_one_are_looked_at() {
        let sample = |delivered| sample(delivered).unwrap().value;
        assert_eq!(
            [0, 1, 10, 11, 50, 51, 400].map(sample),
            [0, 1, 10, 5, 5, 6, 40]
        );
    }
}
