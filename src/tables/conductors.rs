//! Resistance of copper conductors.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electrical_resistance::ohm;
use uom::si::length::{kilometer, meter};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::by_size::{BySize, ListedSize, SizeRow, not_listed, same_size};
use super::lookup::{Lookup, Remark};
use super::{Provenance, Table};
use crate::citation::Citation;
use crate::quantity::{ConductorSize, Length, Resistance, Temperature};

/// Resistance of one conductor for a length of it. The cord has two of them in its loop.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct LinearResistance {
    per_metre: Resistance,
}

impl LinearResistance {
    fn from_ohm_per_kilometre(value: f64) -> Self {
        Self {
            per_metre: Resistance::new::<ohm>(value / 1000.0),
        }
    }

    /// The resistance of one conductor of this length.
    pub fn over(self, length: Length) -> Resistance {
        self.per_metre * length.get::<meter>()
    }

    /// The value as the tables print it.
    pub fn ohm_per_kilometre(self) -> f64 {
        self.over(Length::new::<kilometer>(1.0)).get::<ohm>()
    }
}

/// How the conductor is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ConductorClass {
    /// Fine wires, for cords (IEC 60228 class 5).
    Flexible,
    /// Solid or stranded, for fixed wiring (IEC 60228 classes 1 and 2).
    Fixed,
}

/// Which side of the truth the caller needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The highest resistance: for voltage drop and for the smallest fault current.
    Highest,
    /// The lowest resistance: for the largest fault current.
    Lowest,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    size: ListedSize,
    class: Option<ConductorClass>,
    plain_ohm_per_km: Option<f64>,
    coated_ohm_per_km: Option<f64>,
    stranded_ohm_per_kft: Option<f64>,
    #[serde(default)]
    estimated: bool,
    #[serde(flatten)]
    provenance: Provenance,
}

/// A printed resistance and the temperature it is printed for.
#[derive(Clone, Copy, Debug)]
struct Printed {
    highest: f64,
    lowest: f64,
    at_celsius: f64,
    per_kelvin: f64,
    estimated: bool,
}

struct Tables {
    flexible: BySize<Printed>,
    fixed: BySize<Printed>,
    gauge: BySize<Printed>,
}

const KILOFOOT_IN_KILOMETRES: f64 = 0.3048;

static TABLES: LazyLock<Tables> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("conductors", include_str!("data/conductors.yaml"));
    let column = |class: Option<ConductorClass>| {
        let rows = table.rows.iter().filter(|row| row.class == class);
        rows.map(|row| (row.size, printed(row), table.cite(&row.provenance)))
            .collect()
    };
    Tables {
        flexible: column(Some(ConductorClass::Flexible)),
        fixed: column(Some(ConductorClass::Fixed)),
        gauge: column(None),
    }
});

fn printed(row: &Row) -> Printed {
    if let Some(per_kft) = row.stranded_ohm_per_kft {
        let per_km = per_kft / KILOFOOT_IN_KILOMETRES;
        return Printed {
            highest: per_km,
            lowest: per_km,
            at_celsius: 75.0,
            per_kelvin: 0.003_23,
            estimated: row.estimated,
        };
    }
    // A row without any figure would be NaN, which the tests catch.
    let lowest = row.plain_ohm_per_km.unwrap_or(f64::NAN);
    Printed {
        highest: row.coated_ohm_per_km.unwrap_or(lowest),
        lowest,
        at_celsius: 20.0,
        per_kelvin: 0.003_93,
        estimated: row.estimated,
    }
}

/// Direct-current resistance of one copper conductor at a temperature.
///
/// A metric flexible conductor on the highest side is taken as metal-coated (IEC 60228 Table 3); a
/// gauge is the stranded uncoated conductor of NEC Chapter 9 Table 8 at 75 °C. An unlisted size reads
/// the neighbour that errs on the side asked for.
pub fn resistance_per_metre(
    size: ConductorSize,
    class: ConductorClass,
    temperature: Temperature,
    side: Side,
) -> Lookup<LinearResistance> {
    let column = column(size, class);
    match row(column, size, side) {
        Some(row) => answer(row, size, temperature, side),
        None => not_listed(size, &column_citation(column)),
    }
}

/// The bare value of [`resistance_per_metre`], for sums over whole sites.
pub fn bare_resistance_per_metre(
    size: ConductorSize,
    class: ConductorClass,
    temperature: Temperature,
    side: Side,
) -> Option<LinearResistance> {
    let row = row(column(size, class), size, side)?;
    row.value.at(temperature, side)
}

fn column(size: ConductorSize, class: ConductorClass) -> &'static BySize<Printed> {
    match (size, class) {
        (ConductorSize::Awg(_), _) => &TABLES.gauge,
        (ConductorSize::Metric(_), ConductorClass::Flexible) => &TABLES.flexible,
        (ConductorSize::Metric(_), ConductorClass::Fixed) => &TABLES.fixed,
    }
}

fn row(
    column: &'static BySize<Printed>,
    size: ConductorSize,
    side: Side,
) -> Option<&'static SizeRow<Printed>> {
    match side {
        Side::Highest => column.at_or_below(size),
        Side::Lowest => column.at_or_above(size),
    }
}

fn column_citation(column: &BySize<Printed>) -> Citation {
    let row = column.rows().first();
    row.map_or_else(|| Citation::common_practice(""), |row| row.citation.clone())
}

impl Printed {
    /// The figure at another temperature; `None` where the rule for temperature does not reach.
    fn at(&self, temperature: Temperature, side: Side) -> Option<LinearResistance> {
        let base = match side {
            Side::Highest => self.highest,
            Side::Lowest => self.lowest,
        };
        let rise = temperature.get::<degree_celsius>() - self.at_celsius;
        let factor = 1.0 + self.per_kelvin * rise;
        // Also catches a temperature that is not a number: unknown must not come out as no resistance.
        (factor > 0.0 && factor.is_finite())
            .then(|| LinearResistance::from_ohm_per_kilometre(base * factor))
    }
}

fn answer(
    row: &SizeRow<Printed>,
    asked: ConductorSize,
    temperature: Temperature,
    side: Side,
) -> Lookup<LinearResistance> {
    let Some(value) = row.value.at(temperature, side) else {
        return Lookup::NotInTable {
            why: "the rule for temperature does not reach this temperature".into(),
            citation: row.citation.clone(),
        };
    };
    let mut found = Lookup::known(value, row.citation.clone());
    if !same_size(asked, row.size) {
        let read = row.size;
        found = found.remarked(match side {
            Side::Highest => Remark::SmallerSizeRead { asked, read },
            Side::Lowest => Remark::LargerSizeRead { asked, read },
        });
    }
    if row.value.estimated {
        found = found.remarked(Remark::Estimated);
    }
    match side {
        Side::Highest => found,
        Side::Lowest => found.remarked(Remark::NoLowerLimit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::square_millimetres;

    #[test]
    fn every_row_has_figures_and_thicker_conductors_resist_less() {
        for column in [&TABLES.flexible, &TABLES.fixed, &TABLES.gauge] {
            let printed = || column.rows().iter().map(|row| row.value);
            assert!(printed().all(|p| p.lowest > 0.0 && p.highest >= p.lowest));
            assert!(printed().is_sorted_by(|a, b| a.highest > b.highest));
            assert!(printed().is_sorted_by(|a, b| a.lowest > b.lowest));
        }
    }

    #[test]
    fn a_hotter_conductor_resists_more_and_no_temperature_is_left_open() {
        let size = ConductorSize::Metric(square_millimetres(1.5));
        let at = |celsius| {
            let temperature = Temperature::new::<degree_celsius>(celsius);
            let class = ConductorClass::Fixed;
            let found = resistance_per_metre(size, class, temperature, Side::Highest);
            found
                .value()
                .map(|resistance| resistance.ohm_per_kilometre())
        };
        // IEC 60228 class 1 and 2: 12.1 Ω/km at 20 °C; copper gains 0.393 % a kelvin.
        assert!(at(20.0).is_some_and(|r| (r - 12.1).abs() < 1e-9));
        assert!(at(70.0).is_some_and(|r| (r - 12.1 * 1.1965).abs() < 1e-6));
        assert_eq!(at(f64::NAN), None);
        assert_eq!(at(-300.0), None);
    }
}
