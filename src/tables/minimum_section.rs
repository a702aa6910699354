//! The least conductor a cord set may have for its connector, its length or its rating.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::ampere;
use uom::si::length::meter;

use super::by_size::ListedSize;
use super::lookup::Lookup;
use super::{Practice, Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{ConductorSize, Current, Length};

/// Lengths closer than this are the same: absorbs the rounding of feet.
const SAME_METRES: f64 = 1e-6;

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    /// Connectors (IEC 60320 sheets) the row is for; none: any connector under NEC practice.
    #[serde(default)]
    connectors: Vec<String>,
    /// Rating of the set the row is for, A.
    upto_amperes: Option<f64>,
    /// Cord lengths the row is for, m.
    upto_metres: Option<f64>,
    size: ListedSize,
    #[serde(flatten)]
    provenance: Provenance,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct HotRow {
    connectors: Vec<String>,
    #[serde(flatten)]
    provenance: Provenance,
}

struct Entry {
    connectors: Vec<String>,
    upto_amperes: Option<f64>,
    upto_metres: f64,
    least: Cited<ConductorSize>,
}

static ENTRIES: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let text = include_str!("data/minimum_section.yaml");
    let table = Table::<Row>::embedded("minimum_section", text);
    let entries = table.rows.iter().map(|row| Entry {
        connectors: row.connectors.clone(),
        upto_amperes: row.upto_amperes,
        upto_metres: row.upto_metres.unwrap_or(f64::INFINITY) + SAME_METRES,
        least: Cited {
            value: row.size.0,
            citation: table.cite(&row.provenance),
        },
    });
    entries.collect()
});

static HOT: LazyLock<Vec<(Vec<String>, Citation)>> = LazyLock::new(|| {
    let text = include_str!("data/heat_resistant.yaml");
    let table = Table::<HotRow>::embedded("heat_resistant", text);
    let rows = table.rows.iter();
    rows.map(|row| (row.connectors.clone(), table.cite(&row.provenance)))
        .collect()
});

fn answer(
    entry: Option<&Entry>,
    why: impl FnOnce() -> String,
    citation: &Citation,
) -> Lookup<ConductorSize> {
    match entry {
        Some(Entry { least, .. }) => Lookup::known(least.value, least.citation.clone()),
        None => Lookup::NotInTable {
            why: why(),
            citation: citation.clone(),
        },
    }
}

fn first_citation(is_of_table: impl Fn(&Entry) -> bool) -> Citation {
    let entry = ENTRIES.iter().find(|entry| is_of_table(entry));
    entry.map_or_else(
        || Citation::common_practice("minimum section"),
        |entry| entry.least.citation.clone(),
    )
}

/// Least conductor of a cord set with this connector and length.
///
/// IEC: IEC 60799 Table 1, with its relaxation for cords of 2 m or less. NEC: 18 AWG, the least cord of
/// 400.16; see [`for_set_rating`] for sets by their marked rating.
pub fn for_connector(connector: &str, length: Length, practice: Practice) -> Lookup<ConductorSize> {
    let is_of_table = |entry: &Entry| {
        entry.upto_amperes.is_none() && entry.connectors.is_empty() == (practice == Practice::Nec)
    };
    let sheet = connector.trim();
    let metres = length.get::<meter>();
    let entry = ENTRIES.iter().find(|entry| {
        let is_connector = |name: &String| name.eq_ignore_ascii_case(sheet);
        let fits = practice == Practice::Nec || entry.connectors.iter().any(is_connector);
        is_of_table(entry) && fits && metres <= entry.upto_metres
    });
    let why = || format!("the table has no row for a {sheet} connector on this length");
    answer(entry, why, &first_citation(is_of_table))
}

/// Least conductor of a North American cord set with this marked rating and length (UL 817).
pub fn for_set_rating(rating: Current, length: Length) -> Lookup<ConductorSize> {
    let amperes = rating.get::<ampere>();
    let metres = length.get::<meter>();
    let entry = ENTRIES.iter().find(|entry| {
        let fits = |upto| amperes <= upto + SAME_METRES;
        entry.upto_amperes.is_some_and(fits) && metres <= entry.upto_metres
    });
    let why = || "the table ends before a set of this rating and length".into();
    answer(
        entry,
        why,
        &first_citation(|entry| entry.upto_amperes.is_some()),
    )
}

/// Why a set with this connector needs a rubber or heat-resistant cord; `None` where it does not.
pub fn heat_resistant_cord(connector: &str) -> Option<&'static Citation> {
    let is_connector = |name: &String| name.eq_ignore_ascii_case(connector.trim());
    let row = HOT
        .iter()
        .find(|(connectors, _)| connectors.iter().any(is_connector));
    row.map(|(_, citation)| citation)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::by_size::same_size;
    use uom::si::area::square_millimeter;
    use uom::si::length::foot;

    fn metric(connector: &str, metres: f64) -> Option<f64> {
        let length = Length::new::<meter>(metres);
        match for_connector(connector, length, Practice::Iec).value() {
            Some(ConductorSize::Metric(area)) => Some(area.get::<square_millimeter>()),
            _ => None,
        }
    }

    fn assert_section(connector: &str, metres: f64, expected: f64) {
        let found = metric(connector, metres);
        assert!(
            found.is_some_and(|mm2| (mm2 - expected).abs() < 1e-9),
            "{connector} {metres} m: {found:?}"
        );
    }

    /// IEC 60799 Table 1 and its notes.
    #[test]
    fn iec_sets_need_the_section_of_table_1() {
        assert_section("C13", 2.5, 1.0);
        assert_section("C13", 2.0, 0.75);
        assert_section("c19", 2.0, 1.0);
        assert_section("C19", 2.1, 1.5);
        assert_section("C7", 1.8, 0.5);
        assert_section("C15", 3.0, 1.0);
        assert_eq!(metric("C99", 1.0), None);
        assert_eq!(metric("C13", f64::NAN), None);
    }

    /// UL 817: 16 AWG carries 13 A up to 50 ft; a 15 A set needs 14 and a 20 A set 12 AWG, one gauge
    /// heavier beyond.
    #[test]
    fn north_american_sets_need_the_gauge_of_their_rating() {
        for (amperes, feet, gauge) in [
            (10.0, 6.0, 18),
            (13.0, 50.0, 16),
            (13.0, 51.0, 14),
            (15.0, 50.0, 14),
            (15.0, 60.0, 12),
            (20.0, 50.0, 12),
            (20.0, 60.0, 10),
        ] {
            let rating = Current::new::<ampere>(amperes);
            let found = for_set_rating(rating, Length::new::<foot>(feet));
            let is_gauge = |size: &ConductorSize| same_size(*size, ConductorSize::Awg(gauge));
            assert!(
                found.value().is_some_and(is_gauge),
                "{amperes} A {feet} ft {found:?}"
            );
        }
        let beyond = for_set_rating(Current::new::<ampere>(30.0), Length::new::<foot>(6.0));
        assert_eq!(beyond.value(), None);
        let any = for_connector("C13", Length::new::<foot>(6.0), Practice::Nec);
        assert_eq!(any.value(), Some(&ConductorSize::Awg(18)));
    }

    #[test]
    fn a_longer_cord_never_needs_less() {
        for connector in ["C5", "C7", "C9", "C13", "C15", "C17", "C19", "C21", "C23"] {
            let needed: Vec<_> = (1..100)
                .filter_map(|n| metric(connector, f64::from(n) * 0.1))
                .collect();
            assert_eq!(needed.len(), 99, "{connector}");
            assert!(needed.is_sorted(), "{connector}");
        }
    }

    #[test]
    fn hot_connectors_want_a_heat_resistant_cord() {
        assert!(heat_resistant_cord("C15").is_some());
        assert!(heat_resistant_cord("C21").is_some());
        assert!(heat_resistant_cord("C13").is_none());
    }

    #[test]
    fn every_row_says_where_it_comes_from() {
        for entry in ENTRIES.iter() {
            assert!(!entry.least.citation.clause.is_empty());
        }
    }
}
