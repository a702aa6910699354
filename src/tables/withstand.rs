//! What a short circuit may heat a conductor to: the adiabatic constant k.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cordage::Insulation;
use super::lookup::Lookup;
use super::{Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{Area, Current, Time};
use uom::si::area::square_millimeter;
use uom::si::electric_current::ampere;
use uom::si::time::second;

/// Which conductor of the cord the fault runs through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ConductorRole {
    /// A line or neutral conductor.
    Line,
    /// The protective conductor in the same cord.
    ProtectiveInCable,
}

/// The adiabatic constant k of a copper conductor, in A·√s/mm².
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct AdiabaticConstant(f64);

impl AdiabaticConstant {
    /// The number the tables print, in A·√s/mm².
    pub fn value(self) -> f64 {
        self.0
    }

    /// Time in which a current heats the conductor to its limit: (k·S/I)². Good up to 5 s; below 0.1 s
    /// the device's let-through energy must be used instead.
    pub fn withstand_time(self, section: Area, current: Current) -> Time {
        let charge = self.0 * section.get::<square_millimeter>() / current.get::<ampere>();
        Time::new::<second>(charge * charge)
    }

    /// Least section that bears a current for a time: √(I²·t)/k.
    pub fn least_section(self, current: Current, time: Time) -> Area {
        let heat = current.get::<ampere>() * time.get::<second>().sqrt();
        Area::new::<square_millimeter>(heat / self.0)
    }
}

#[derive(Debug, Deserialize)]
struct Row {
    insulation: Insulation,
    roles: Vec<ConductorRole>,
    k: f64,
    #[serde(flatten)]
    provenance: Provenance,
}

type Entry = (Insulation, ConductorRole, Cited<AdiabaticConstant>);

static ENTRIES: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("withstand", include_str!("data/withstand.yaml"));
    let mut entries = Vec::new();
    for row in &table.rows {
        for role in &row.roles {
            let cited = Cited {
                value: AdiabaticConstant(row.k),
                citation: table.cite(&row.provenance),
            };
            entries.push((row.insulation, *role, cited));
        }
    }
    entries
});

/// Adiabatic constant of a copper conductor of up to 300 mm² that was at its operating temperature.
///
/// IEC 60364-4-43 Table 43A for line conductors, IEC 60364-5-54 Table A.54.4 for a protective conductor
/// in the cord. Cords of UL 62 have no k table: the ICEA short-circuit formula from the hottest marking.
pub fn k(insulation: Insulation, role: ConductorRole) -> Lookup<AdiabaticConstant> {
    let is_asked = |entry: &&Entry| entry.0 == insulation && entry.1 == role;
    match ENTRIES.iter().find(is_asked) {
        Some((_, _, cited)) => Lookup::known(cited.value, cited.citation.clone()),
        None => Lookup::NotInTable {
            why: "no constant is given for this insulation".into(),
            citation: ENTRIES.first().map_or_else(
                || Citation::common_practice("adiabatic constant"),
                |(_, _, cited)| cited.citation.clone(),
            ),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(insulation: Insulation, role: ConductorRole) -> Option<f64> {
        k(insulation, role).value().map(|k| k.value())
    }

    /// BS 7671 Tables 43.1 and 54.3 (IEC 60364-4-43 Table 43A, 60364-5-54 Table A.54.4).
    #[test]
    fn constants_are_those_of_the_tables() {
        for (insulation, line, protective) in [
            (Insulation::Pvc70, 115.0, 115.0),
            (Insulation::Pvc90, 100.0, 100.0),
            (Insulation::Rubber60, 141.0, 141.0),
            (Insulation::Epr90, 143.0, 143.0),
            (Insulation::HalogenFreeThermoplastic70, 115.0, 115.0),
            (Insulation::HalogenFreeCrosslinked90, 143.0, 143.0),
        ] {
            assert_eq!(value(insulation, ConductorRole::Line), Some(line));
            assert_eq!(
                value(insulation, ConductorRole::ProtectiveInCable),
                Some(protective)
            );
        }
    }

    /// IEC 60364-5-54 Annex A: k = 226·√ln(1 + (θf − θi)/(234.5 + θi)) for copper.
    #[test]
    fn constants_follow_the_formula_of_annex_a() {
        for (insulation, initial, last) in [
            (Insulation::Pvc70, 70.0, 160.0),
            (Insulation::Pvc90, 90.0, 160.0),
            (Insulation::Rubber60, 60.0, 200.0),
            (Insulation::Epr90, 90.0, 250.0),
        ] {
            let exact = 226.0 * f64::ln(1.0 + (last - initial) / (234.5 + initial)).sqrt();
            let printed = value(insulation, ConductorRole::Line).unwrap_or(0.0);
            assert!(
                (printed - exact).abs() < 1.0,
                "{insulation:?} {printed} {exact}"
            );
        }
    }

    /// ICEA P-32-382: (I/A)²·t = 0.0297·log10((θf + 234)/(θi + 234)), A in circular mils; 1 mm² is
    /// 1973.5 of them.
    #[test]
    fn constants_of_american_cords_do_not_exceed_the_icea_formula() {
        for (insulation, initial, last) in [
            (Insulation::Thermoplastic, 105.0, 150.0),
            (Insulation::ThermoplasticElastomer, 105.0, 150.0),
            (Insulation::Thermoset, 105.0, 200.0),
        ] {
            let heat = 0.0297 * f64::log10((last + 234.0) / (initial + 234.0));
            let exact = 1973.5 * heat.sqrt();
            let used = value(insulation, ConductorRole::Line).unwrap_or(0.0);
            assert!(
                used <= exact && used > exact - 1.0,
                "{insulation:?} {used} {exact}"
            );
        }
    }
}
