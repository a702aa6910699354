//! What warm air costs a conductor.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::ampacity::is_large;
use super::cordage::Cordage;
use super::wiring::WiringInsulation;
use super::{Practice, Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{ConductorSize, Ratio, Temperature};

/// Temperatures closer than this are the same: absorbs the rounding of kelvin to degrees.
const SAME_CELSIUS: f64 = 1e-6;

/// What a correction table says of an ambient temperature.
#[derive(Clone, Debug, PartialEq)]
pub enum AmbientFactor {
    /// Multiply the ampacity by this; never above 1, as cool air may not stay cool.
    Factor(Cited<Ratio>),
    /// The conductor may carry nothing in air that hot.
    NotPermitted(Citation),
    /// The table has no column for the conductor, or the temperature is no number.
    NotInTable {
        /// Why not, in words for the reader of a finding.
        why: String,
        /// The table that was asked.
        citation: Citation,
    },
}

/// A column of a correction table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Conductor {
    Nec60,
    Nec75,
    Nec90,
    /// Table 4F3A, 60 °C cords: also cords of 70 °C, because the base rating is for 60 °C.
    Cord60,
    Cord90,
    LargeCord90,
    WiringPvc70,
    WiringXlpe90,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    column: Conductor,
    /// Factor by the highest ambient it holds for, °C.
    factors: BTreeMap<u8, f64>,
    #[serde(flatten)]
    provenance: Provenance,
}

struct Step {
    upto_celsius: f64,
    factor: Ratio,
    citation: Citation,
}

static COLUMNS: LazyLock<BTreeMap<Conductor, Vec<Step>>> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("ambient", include_str!("data/ambient.yaml"));
    let mut columns: BTreeMap<Conductor, Vec<Step>> = BTreeMap::new();
    for row in &table.rows {
        let steps = row.factors.iter().map(|(upto, factor)| Step {
            upto_celsius: f64::from(*upto),
            factor: Ratio::new::<ratio>(*factor),
            citation: table.cite(&row.provenance),
        });
        columns.entry(row.column).or_default().extend(steps);
    }
    for steps in columns.values_mut() {
        steps.sort_by(|a, b| a.upto_celsius.total_cmp(&b.upto_celsius));
    }
    columns
});

/// Factor for a flexible cord, to go with [`super::ampacity::flexible`] of the same arguments.
///
/// NEC: Table 310.15(B)(1)(1), column of the cord's temperature rating, a 105 °C cord in the 90 °C
/// column. IEC: the rows of the BS 7671 table that gave the ampacity; between two listed temperatures
/// the higher. An unknown cordage is a 60 °C cord.
pub fn for_cord(
    practice: Practice,
    cordage: Option<&Cordage>,
    size: ConductorSize,
    ambient: Temperature,
) -> AmbientFactor {
    let rating = cordage.map(|cordage| cordage.conductor_temperature);
    let celsius = rating.map_or(60.0, |rating| rating.get::<degree_celsius>());
    let column = match practice {
        Practice::Nec => nec_column(celsius),
        Practice::Iec if celsius < 90.0 - SAME_CELSIUS => Conductor::Cord60,
        Practice::Iec if is_large(size) => Conductor::LargeCord90,
        Practice::Iec => Conductor::Cord90,
    };
    if celsius < 60.0 - SAME_CELSIUS {
        return not_in_table(column, "no column is for conductors rated below 60 °C");
    }
    read(column, ambient)
}

/// Factor for fixed wiring, to go with [`super::wiring::ampacity`] of the same arguments.
pub fn for_wiring(
    practice: Practice,
    insulation: WiringInsulation,
    ambient: Temperature,
) -> AmbientFactor {
    let celsius = insulation.conductor_temperature().get::<degree_celsius>();
    let column = match practice {
        Practice::Nec => nec_column(celsius),
        Practice::Iec if insulation.is_cross_linked() => Conductor::WiringXlpe90,
        Practice::Iec => Conductor::WiringPvc70,
    };
    if practice == Practice::Iec && celsius < 70.0 - SAME_CELSIUS {
        return not_in_table(column, "no column is for conductors rated below 70 °C");
    }
    read(column, ambient)
}

fn nec_column(celsius: f64) -> Conductor {
    if celsius >= 90.0 - SAME_CELSIUS {
        Conductor::Nec90
    } else if celsius >= 75.0 - SAME_CELSIUS {
        Conductor::Nec75
    } else {
        Conductor::Nec60
    }
}

fn steps(column: Conductor) -> &'static [Step] {
    COLUMNS.get(&column).map_or(&[], Vec::as_slice)
}

fn column_citation(column: Conductor) -> Citation {
    let last = steps(column).last();
    last.map_or_else(
        || Citation::common_practice("ambient correction"),
        |step| step.citation.clone(),
    )
}

fn not_in_table(column: Conductor, why: &str) -> AmbientFactor {
    AmbientFactor::NotInTable {
        why: why.into(),
        citation: column_citation(column),
    }
}

fn read(column: Conductor, ambient: Temperature) -> AmbientFactor {
    let celsius = ambient.get::<degree_celsius>();
    if celsius.is_nan() {
        return not_in_table(column, "the ambient temperature is not a number");
    }
    let step = steps(column)
        .iter()
        .find(|step| celsius <= step.upto_celsius + SAME_CELSIUS);
    match step {
        Some(step) => AmbientFactor::Factor(Cited {
            value: step.factor,
            citation: step.citation.clone(),
        }),
        None => AmbientFactor::NotPermitted(column_citation(column)),
    }
}

#[cfg(test)]
mod tests;
