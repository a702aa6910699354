//! What company costs a cord: factors for cords that lie together, and for many loaded conductors in one.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::ratio::{percent, ratio};

use super::lookup::{Lookup, Remark};
use super::{Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::Ratio;

/// How circuits or cords lie together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Arrangement {
    /// Bunched in air, on a surface, embedded or enclosed.
    Bunched,
    /// One layer on a wall, floor or unperforated tray, touching.
    Surface,
    /// One layer on a perforated tray, touching.
    Tray,
    /// One layer on a ladder or cleats, touching.
    Ladder,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    arrangement: Option<Arrangement>,
    /// `[number, factor]`, in rising order; each factor holds up to its number.
    factors: Vec<(u32, f64)>,
    #[serde(default)]
    harmonics: Vec<Band>,
    #[serde(flatten)]
    provenance: Provenance,
}

/// What a third harmonic costs a run of three lines and a neutral.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Band {
    upto_percent: f64,
    factor: f64,
    /// Whether the neutral decides, not the lines.
    #[serde(default)]
    by_neutral: bool,
}

struct Column {
    arrangement: Option<Arrangement>,
    source: String,
    factors: Vec<(u32, f64)>,
    harmonics: Vec<Band>,
    citation: Citation,
}

static COLUMNS: LazyLock<Vec<Column>> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("grouping", include_str!("data/grouping.yaml"));
    let columns = table.rows.iter().map(|row| Column {
        arrangement: row.arrangement,
        source: row.provenance.source.clone(),
        factors: row.factors.clone(),
        harmonics: row.harmonics.clone(),
        citation: table.cite(&row.provenance),
    });
    columns.collect()
});

/// Factor for `number` equally loaded circuits or cords that lie together (IEC 60364-5-52 Table B.52.17).
///
/// A number between two rows takes the next larger one. A single layer of more than nine takes the
/// value for nine; a bunch beyond the table is left open.
pub fn factor(number: u32, arrangement: Arrangement) -> Lookup<Ratio> {
    let column = COLUMNS
        .iter()
        .find(|column| column.arrangement == Some(arrangement));
    let Some(column) = column else {
        return open(number, Citation::common_practice("grouping"));
    };
    let listed = column.factors.iter().find(|(upto, _)| number <= *upto);
    let last = column.factors.last();
    let levels_off = arrangement != Arrangement::Bunched;
    let Some((read, value)) = listed.or(last.filter(|_| levels_off)) else {
        return open(number, column.citation.clone());
    };
    let found = Lookup::known(Ratio::new::<ratio>(*value), column.citation.clone());
    if number <= 1 {
        return found;
    }
    let found = found.remarked(Remark::GroupingApproximate);
    if number < *read {
        found.remarked(Remark::LargerGroupRead {
            asked: number,
            read: *read,
        })
    } else {
        found
    }
}

fn open(number: u32, citation: Citation) -> Lookup<Ratio> {
    Lookup::NotInTable {
        why: format!("the table ends before a bunch of {number}"),
        citation,
    }
}

/// Factor for more than three loaded conductors in one cord or raceway (NEC Table 400.5(A)(3), the
/// same numbers as Table 310.15(C)(1)); `None` up to three, where none is due.
pub fn more_than_three(loaded: u32) -> Option<Cited<Ratio>> {
    if loaded <= 3 {
        return None;
    }
    let columns = COLUMNS
        .iter()
        .filter(|column| column.source == "nec-loaded");
    let mut found = columns.filter_map(|column| {
        let step = column.factors.iter().find(|(upto, _)| loaded <= *upto)?;
        Some((step.1, column.citation.clone()))
    });
    let (value, citation) = found.next()?;
    Some(Cited {
        value: Ratio::new::<ratio>(value),
        citation,
    })
}

/// Factor for a three-phase cord whose neutral counts as loaded (IEC 60364-5-52 Table E.52.1, third
/// harmonic between 15 and 45 %).
pub fn loaded_neutral() -> Cited<Ratio> {
    let row = harmonics();
    let bands = row.into_iter().flat_map(|column| &column.harmonics);
    let least = bands.map(|band| band.factor).min_by(f64::total_cmp);
    Cited {
        // Without its row nothing may be loaded; a test reads the row.
        value: Ratio::new::<ratio>(least.unwrap_or(0.0)),
        citation: row.map_or_else(
            || Citation::common_practice("loaded neutral"),
            |column| column.citation.clone(),
        ),
    }
}

fn harmonics() -> Option<&'static Column> {
    let mut columns = COLUMNS.iter();
    columns.find(|column| !column.harmonics.is_empty())
}

/// Which conductors decide in a run of three lines and a neutral, and whether the others cost them anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loaded {
    /// The lines alone: the neutral carries too little to count.
    Lines,
    /// All four: the factor of a loaded neutral is due.
    All,
    /// The neutral alone: it carries so much more than the lines that these count for little.
    Neutral,
}

/// The same, by the third harmonic as a share of the line current.
pub fn loaded_by(third_harmonic: Ratio) -> Loaded {
    let share = third_harmonic.get::<percent>();
    let bands = harmonics().into_iter().flat_map(|column| &column.harmonics);
    let band = bands
        .into_iter()
        .find(|band| share <= band.upto_percent + 1e-9);
    match band {
        Some(band) if band.factor < 1.0 => Loaded::All,
        Some(band) if band.by_neutral => Loaded::Neutral,
        Some(_) => Loaded::Lines,
        None => Loaded::All,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(number: u32, arrangement: Arrangement) -> Option<f64> {
        factor(number, arrangement)
            .value()
            .map(|found| found.get::<ratio>())
    }

    /// IEC 60364-5-52 Table B.52.17, items 1, 2, 4 and 5.
    #[test]
    fn factors_are_those_of_table_b_52_17() {
        for (number, expected) in [
            (1, [1.00, 1.00, 1.00, 1.00]),
            (2, [0.80, 0.85, 0.88, 0.87]),
            (3, [0.70, 0.79, 0.82, 0.82]),
            (4, [0.65, 0.75, 0.77, 0.80]),
            (6, [0.57, 0.72, 0.73, 0.79]),
            (9, [0.50, 0.70, 0.72, 0.78]),
            (20, [0.38, 0.70, 0.72, 0.78]),
        ] {
            let kinds = [
                Arrangement::Bunched,
                Arrangement::Surface,
                Arrangement::Tray,
                Arrangement::Ladder,
            ];
            for (kind, expected) in kinds.into_iter().zip(expected) {
                assert_eq!(value(number, kind), Some(expected), "{number} {kind:?}");
            }
        }
    }

    #[test]
    fn a_number_between_rows_takes_the_next_larger_and_says_so() {
        assert_eq!(value(10, Arrangement::Bunched), Some(0.45));
        let remark = Remark::LargerGroupRead {
            asked: 10,
            read: 12,
        };
        assert!(factor(10, Arrangement::Bunched).remarks().contains(&remark));
    }

    #[test]
    fn a_bunch_beyond_the_table_is_open_and_a_layer_levels_off() {
        assert_eq!(value(21, Arrangement::Bunched), None);
        assert_eq!(value(u32::MAX, Arrangement::Surface), Some(0.70));
        assert_eq!(value(0, Arrangement::Bunched), Some(1.0));
    }

    #[test]
    fn more_company_never_raises_the_factor() {
        for kind in [Arrangement::Bunched, Arrangement::Tray] {
            let factors: Vec<_> = (0..=20).filter_map(|n| value(n, kind)).collect();
            assert_eq!(factors.len(), 21);
            assert!(factors.is_sorted_by(|a, b| a >= b), "{factors:?}");
        }
    }

    /// NEC Table 400.5(A)(3).
    #[test]
    fn loaded_conductors_beyond_three_lower_the_ampacity() {
        let value = |loaded| more_than_three(loaded).map(|found| found.value.get::<ratio>());
        for (loaded, expected) in [
            (3, None),
            (4, Some(0.80)),
            (6, Some(0.80)),
            (7, Some(0.70)),
            (9, Some(0.70)),
            (10, Some(0.50)),
            (20, Some(0.50)),
            (30, Some(0.45)),
            (40, Some(0.40)),
            (u32::MAX, Some(0.35)),
        ] {
            assert_eq!(value(loaded), expected, "{loaded}");
        }
    }

    /// IEC 60364-5-52 Table E.52.1: what a run must carry for each ampere of its lines, by the conductor that decides.
    #[test]
    fn a_third_harmonic_wants_what_the_table_wants() {
        let wanted = |share: f64| {
            let factor = loaded_neutral().value.get::<ratio>();
            match loaded_by(Ratio::new::<percent>(share)) {
                Loaded::Lines => 1.0,
                Loaded::All => f64::max(1.0, 3.0 * share / 100.0) / factor,
                Loaded::Neutral => 3.0 * share / 100.0,
            }
        };
        for (share, expected) in [
            (10.0, 1.00),
            (15.0, 1.00),
            (20.0, 1.16),
            (33.0, 1.16),
            (40.0, 1.40),
            (45.0, 1.57),
            (60.0, 1.80),
        ] {
            assert!((wanted(share) - expected).abs() < 0.006, "{share}");
        }
    }

    #[test]
    fn a_loaded_neutral_costs_fourteen_per_cent() {
        assert!((loaded_neutral().value.get::<ratio>() - 0.86).abs() < 1e-12);
    }
}
