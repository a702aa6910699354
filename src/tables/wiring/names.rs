//! What the insulation of fixed wiring is called.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::thermodynamic_temperature::kelvin;

use super::WiringInsulation;
use crate::citation::Citation;
use crate::tables::spellings::{any_of, spaced_name};
use crate::tables::{Provenance, Table};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    names: Vec<String>,
    judged_as: WiringInsulation,
    from: Provenance,
}

static TABLE: LazyLock<Table<Row>> =
    LazyLock::new(|| Table::embedded("wiring-names", include_str!("../data/wiring-names.yaml")));

/// Every name, those of the definition format first.
pub fn names() -> Vec<&'static str> {
    let names = TABLE.rows.iter().flat_map(|row| &row.names);
    names.map(String::as_str).collect()
}

/// A regular expression that every name matches, and several of them with strokes between.
pub fn pattern() -> String {
    let names: Vec<String> = names().into_iter().map(spaced_name).collect();
    let name = format!("(?:{})", names.join("|"));
    any_of(std::iter::once(format!(r"{name}(?:\s*/\s*{name})*")))
}

impl WiringInsulation {
    /// The insulation of a name such as `pvc-70`, `XLPE-90` or `THHN`; of a jacket with several names, such as
    /// `THHN/THWN`, the one that bears the least heat.
    pub fn from_name(name: &str) -> Option<Self> {
        let all: Option<Vec<Self>> = name.split('/').map(|one| Some(of_one(one)?.0)).collect();
        let heat = |one: &Self| one.conductor_temperature().get::<kelvin>();
        // Of equally hot ones the thermoplastic, which bears less in a short circuit.
        all?.into_iter().min_by(|a, b| {
            let by_heat = heat(a).total_cmp(&heat(b));
            by_heat.then(a.is_cross_linked().cmp(&b.is_cross_linked()))
        })
    }
}

/// What one name is judged as, and what says so.
fn of_one(name: &str) -> Option<(WiringInsulation, Citation)> {
    let name = folded(name);
    let is_it = |row: &&Row| row.names.iter().any(|own| folded(own) == name);
    let row = TABLE.rows.iter().find(is_it)?;
    Some((row.judged_as, TABLE.cite(&row.from)))
}

/// Names are compared without regard to case and blanks; a dash tells THWN-2 from THWN and stays.
fn folded(name: &str) -> String {
    let letters = name.chars().filter(|letter| !letter.is_whitespace());
    letters.map(|letter| letter.to_ascii_lowercase()).collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use WiringInsulation::{Pvc70, Thhn90, Thwn75, Tw60, Xhhw90, Xlpe90};

    /// Typed anew from NEC Table 310.4(1), 334.80, CE Code Table 19 and the cable standards, as remembered.
    #[test]
    fn names_are_judged_by_the_column_of_their_heat() {
        for (name, judged) in [
            ("pvc-70", Some(Pvc70)),
            ("XLPE-90", Some(Xlpe90)),
            ("RW90", Some(Xhhw90)),
            ("RW90 XLPE", Some(Xhhw90)),
            ("T90", Some(Thhn90)),
            ("NMD90", Some(Tw60)),
            ("NM-B", Some(Tw60)),
            ("THW-LS", Some(Thwn75)),
            ("THHW-LS", Some(Thwn75)),
            ("THHN/THWN-2", Some(Thhn90)),
            ("THHN / THWN", Some(Thwn75)),
            ("THW-LS/THHW-LS", Some(Thwn75)),
            ("XHHW-2/THHN", Some(Thhn90)),
            ("NYM", Some(Pvc70)),
            ("NYM-J", Some(Pvc70)),
            ("H07V-K", Some(Pvc70)),
            ("V-75", Some(Pvc70)),
            ("V-90", Some(Pvc70)),
            ("VVF", Some(Tw60)),
            ("THHN/", None),
            ("THHN/paper", None),
            ("nm", None),
            ("", None),
        ] {
            assert_eq!(WiringInsulation::from_name(name), judged, "{name}");
        }
    }

    #[test]
    fn every_name_stands_once_and_has_a_source() {
        let mut seen = BTreeSet::new();
        for name in names() {
            assert!(seen.insert(folded(name)), "{name} stands twice");
            let (_, citation) = of_one(name).unwrap_or_else(|| panic!("{name}"));
            assert!(!citation.standard.is_empty(), "{name}");
        }
    }
}
