//! Current-carrying capacity of flexible cords at 30 °C, before ambient and grouping.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::ampere;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::by_size::{BySize, ListedSize, is_larger, same_size};
use super::cordage::{Cordage, Family, SizeFit};
use super::grouping::{loaded_neutral, more_than_three};
use super::lookup::{Lookup, Remark};
use super::{Practice, Provenance, Table};
use crate::citation::Citation;
use crate::quantity::{ConductorSize, Current};

#[derive(Debug, Deserialize)]
struct Row {
    size: ListedSize,
    /// Loaded conductors the column is for: 2 (single-phase or direct current) or 3.
    loaded: u8,
    amperes: f64,
    #[serde(flatten)]
    provenance: Provenance,
}

/// One published table: the columns for two and for three loaded conductors.
struct Columns {
    two: BySize<Current>,
    three: BySize<Current>,
    citation: Citation,
}

impl Columns {
    fn read(table: &Table<Row>, source: &str) -> Self {
        let of_source = |row: &&Row| row.provenance.source == source;
        let column = |loaded: u8| {
            let rows = table.rows.iter().filter(of_source);
            rows.filter(|row| row.loaded == loaded)
                .map(|row| (row.size, amperes(row), table.cite(&row.provenance)))
                .collect()
        };
        let first = table.rows.iter().find(of_source);
        Self {
            two: column(2),
            three: column(3),
            citation: first.map_or_else(
                || Citation::common_practice(source),
                |row| table.cite(&row.provenance),
            ),
        }
    }

    fn value(&self, size: ConductorSize, loaded: u8) -> Lookup<Current> {
        let column = if loaded <= 2 { &self.two } else { &self.three };
        column.safe_value(size, &self.citation)
    }

    /// The smallest size of the table.
    fn first_size(&self) -> Option<ConductorSize> {
        self.two.rows().first().map(|row| row.size)
    }
}

fn amperes(row: &Row) -> Current {
    Current::new::<ampere>(row.amperes)
}

struct Tables {
    nec: Columns,
    cord: Columns,
    large_60: Columns,
    large_90: Columns,
    japan_cord: Columns,
    japan_heat_resistant: Columns,
    japan_cabtyre: Columns,
}

static TABLES: LazyLock<Tables> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("ampacity", include_str!("data/ampacity.yaml"));
    Tables {
        nec: Columns::read(&table, "nec-400-5"),
        cord: Columns::read(&table, "bs-4f3a"),
        large_60: Columns::read(&table, "bs-4f1a"),
        large_90: Columns::read(&table, "bs-4f2a"),
        japan_cord: Columns::read(&table, "japan-cord"),
        japan_heat_resistant: Columns::read(&table, "japan-heat-resistant"),
        japan_cabtyre: Columns::read(&table, "japan-cabtyre"),
    }
});

/// Whether the capacity is read from a table for large flexible cables rather than from that for cords.
pub(super) fn is_large(size: ConductorSize) -> bool {
    let first = TABLES.large_60.first_size();
    first.is_some_and(|first| same_size(size, first) || is_larger(size, first))
}

/// Ampacity of a flexible cord in air of 30 °C, neither bundled nor coiled.
///
/// `loaded` counts the conductors that carry current: never the protective conductor, the neutral where
/// it carries harmonics. Fewer than two are read as two. NEC: Table 400.5(A)(1), column B for two, A for
/// three, A times Table 400.5(A)(3) for more. IEC: BS 7671 Table 4F3A up to 4 mm², 4F1A (60 °C) or 4F2A
/// (90 °C) above. A size of the other system, one not listed, or one that the cordage is not made in, takes the
/// next smaller size by cross-section and says so.
pub fn flexible(
    practice: Practice,
    cordage: Option<&Cordage>,
    size: ConductorSize,
    loaded: u8,
) -> Lookup<Current> {
    let Some(cordage) = cordage else {
        return by_practice(practice, None, size, loaded);
    };
    let remark = match cordage.size_fit(size) {
        SizeFit::Made => return by_practice(practice, Some(cordage), size, loaded),
        SizeFit::Disputed => Remark::SizeDisputed { asked: size },
        SizeFit::NotMade => Remark::SizeNotMade { asked: size },
    };
    let read = cordage.sizes.at_or_below(size);
    let mut found = by_practice(practice, Some(cordage), read, loaded);
    if let Lookup::Known { cited, .. } = &mut found {
        cited.citation.confidence = cordage.sizes.citation.confidence;
    }
    found.remarked(remark)
}

fn by_practice(
    practice: Practice,
    cordage: Option<&Cordage>,
    size: ConductorSize,
    loaded: u8,
) -> Lookup<Current> {
    match practice {
        Practice::Nec => nec(cordage, size, loaded),
        Practice::Iec => iec(cordage, size, loaded),
    }
}

fn nec(cordage: Option<&Cordage>, size: ConductorSize, loaded: u8) -> Lookup<Current> {
    let mut found = TABLES.nec.value(size, loaded);
    if let Some(factor) = more_than_three(u32::from(loaded)) {
        found = found.for_more_loaded(&factor, loaded);
    }
    if cordage.is_some_and(|cordage| cordage.family != Family::Nec) {
        found = found.remarked(Remark::CordageForeign);
    }
    found
}

fn iec(cordage: Option<&Cordage>, size: ConductorSize, loaded: u8) -> Lookup<Current> {
    if loaded > 4 {
        return Lookup::NotInTable {
            why: format!("no table gives a cord with {loaded} loaded conductors"),
            citation: TABLES.cord.citation.clone(),
        };
    }
    let found = iec_up_to_three(cordage, size, loaded);
    if loaded < 4 {
        return found;
    }
    found
        .for_more_loaded(&loaded_neutral(), loaded)
        .remarked(Remark::NeutralLoaded)
}

fn iec_up_to_three(cordage: Option<&Cordage>, size: ConductorSize, loaded: u8) -> Lookup<Current> {
    let found = if !is_large(size) {
        TABLES.cord.value(size, loaded)
    } else if is_for_90_degrees(cordage) {
        TABLES.large_90.value(size, loaded)
    } else {
        TABLES.large_60.value(size, loaded)
    };
    let found = match cordage {
        None if is_large(size) => found.remarked(Remark::CordageUnknown),
        _ => found,
    };
    match cordage.and_then(japanese) {
        Some(columns) => lower_of(found, columns.value(size, loaded)),
        None => found,
    }
}

fn is_for_90_degrees(cordage: Option<&Cordage>) -> bool {
    let celsius = cordage.map(|cordage| cordage.conductor_temperature.get::<degree_celsius>());
    celsius.is_some_and(|celsius| celsius >= 89.9)
}

/// The table that Japan has for a cordage of its own.
fn japanese(cordage: &Cordage) -> Option<&'static Columns> {
    // Of several marks each may be the one.
    let is_marked = |name: &str| cordage.name.split(" / ").any(|mark| mark == name);
    if is_marked("VCTF") {
        Some(&TABLES.japan_cord)
    } else if is_marked("HVCTF") {
        Some(&TABLES.japan_heat_resistant)
    } else {
        (cordage.family == Family::Japan).then_some(&TABLES.japan_cabtyre)
    }
}

/// Two tables speak of the same cord: the lower value stands, and a silent table decides nothing.
fn lower_of(first: Lookup<Current>, second: Lookup<Current>) -> Lookup<Current> {
    match (first.value(), second.value()) {
        (Some(a), Some(b)) if a <= b => first,
        (None, _) => first,
        _ => second,
    }
}

#[cfg(test)]
mod tests;
