//! Fixed wiring of circuits: what it carries, and what may protect it.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::ampere;
use uom::si::thermodynamic_temperature::degree_celsius;

mod names;

pub use names::{names, pattern};

use super::by_size::{BySize, ListedSize, not_listed};
use super::cordage::Insulation;
use super::grouping::{loaded_neutral, more_than_three};
use super::lookup::{Lookup, Remark};
use super::{Practice, Provenance, Table};
use crate::citation::Citation;
use crate::quantity::{ConductorSize, Current, Temperature};

/// Insulation of a fixed conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub enum WiringInsulation {
    /// PVC, 70 °C (IEC).
    #[serde(rename = "pvc-70")]
    Pvc70,
    /// Cross-linked polyethylene or EPR, 90 °C (IEC).
    #[serde(rename = "xlpe-90")]
    Xlpe90,
    /// Thermoplastic, 60 °C (NEC: TW, UF).
    #[serde(rename = "tw-60")]
    Tw60,
    /// 75 °C (NEC: THW, THWN, XHHW in wet places, RHW).
    #[serde(rename = "thwn-75")]
    Thwn75,
    /// Thermoplastic, 90 °C (NEC: THHN, THWN-2).
    #[serde(rename = "thhn-90")]
    Thhn90,
    /// Cross-linked, 90 °C (NEC: XHHW-2, RHW-2).
    #[serde(rename = "xhhw-90")]
    Xhhw90,
}

impl WiringInsulation {
    /// Highest operating temperature of the conductor.
    pub fn conductor_temperature(self) -> Temperature {
        let celsius = match self {
            Self::Tw60 => 60.0,
            Self::Pvc70 => 70.0,
            Self::Thwn75 => 75.0,
            Self::Xlpe90 | Self::Thhn90 | Self::Xhhw90 => 90.0,
        };
        Temperature::new::<degree_celsius>(celsius)
    }

    /// The insulation to ask [`super::withstand::k`] for.
    pub fn insulation(self) -> Insulation {
        match self {
            Self::Pvc70 => Insulation::Pvc70,
            Self::Xlpe90 | Self::Xhhw90 => Insulation::Epr90,
            // The marking decides the chemistry; the lowest constant of the three is the safe one.
            Self::Tw60 | Self::Thwn75 | Self::Thhn90 => Insulation::Thermoplastic,
        }
    }

    /// Whether heat does not soften it: decides the IEC column. 90 °C thermoplastic is read as PVC there.
    pub fn is_cross_linked(self) -> bool {
        matches!(self, Self::Xlpe90 | Self::Xhhw90)
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    PvcTwo,
    PvcThree,
    XlpeTwo,
    XlpeThree,
    Nec60,
    Nec75,
    Nec90,
    /// Largest overcurrent device of a small conductor.
    Protection,
}

#[derive(Debug, Deserialize)]
struct Row {
    column: Kind,
    /// `[size, amperes]`.
    sizes: Vec<(ListedSize, f64)>,
    #[serde(flatten)]
    provenance: Provenance,
}

struct Column {
    amperes: BySize<Current>,
    citation: Citation,
}

impl Column {
    fn read(table: &Table<Row>, kind: Kind) -> Self {
        let rows = || table.rows.iter().filter(|row| row.column == kind);
        let amperes = rows()
            .flat_map(|row| row.sizes.iter().map(move |entry| (row, entry)))
            .map(|(row, (size, amperes))| {
                let citation = table.cite(&row.provenance);
                (*size, Current::new::<ampere>(*amperes), citation)
            })
            .collect();
        let citation = rows().next().map(|row| table.cite(&row.provenance));
        Self {
            amperes,
            citation: citation.unwrap_or_else(|| Citation::common_practice("fixed wiring")),
        }
    }

    fn value(&self, size: ConductorSize) -> Lookup<Current> {
        self.amperes.safe_value(size, &self.citation)
    }
}

struct Tables {
    pvc: [Column; 2],
    xlpe: [Column; 2],
    nec_60: Column,
    nec_75: Column,
    nec_90: Column,
    protection: Column,
}

static TABLES: LazyLock<Tables> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("wiring", include_str!("data/wiring.yaml"));
    let read = |kind| Column::read(&table, kind);
    Tables {
        pvc: [read(Kind::PvcTwo), read(Kind::PvcThree)],
        xlpe: [read(Kind::XlpeTwo), read(Kind::XlpeThree)],
        nec_60: read(Kind::Nec60),
        nec_75: read(Kind::Nec75),
        nec_90: read(Kind::Nec90),
        protection: read(Kind::Protection),
    }
});

/// Ampacity of fixed wiring at 30 °C, before ambient and grouping.
///
/// IEC: reference method B2, which suits a cable in conduit on a wall; other methods carry more or less,
/// so the answer says that B2 was assumed. NEC: Table 310.16, the insulation's column; see
/// [`terminal_limit`] for what the terminals then allow.
pub fn ampacity(
    practice: Practice,
    size: ConductorSize,
    insulation: WiringInsulation,
    loaded: u8,
) -> Lookup<Current> {
    match practice {
        Practice::Nec => nec(size, insulation, loaded),
        Practice::Iec => iec(size, insulation, loaded),
    }
}

fn nec(size: ConductorSize, insulation: WiringInsulation, loaded: u8) -> Lookup<Current> {
    let column = match insulation {
        WiringInsulation::Tw60 | WiringInsulation::Pvc70 => &TABLES.nec_60,
        WiringInsulation::Thwn75 => &TABLES.nec_75,
        WiringInsulation::Xlpe90 | WiringInsulation::Thhn90 | WiringInsulation::Xhhw90 => {
            &TABLES.nec_90
        }
    };
    let found = column.value(size);
    match more_than_three(u32::from(loaded)) {
        Some(factor) => found.for_more_loaded(&factor, loaded),
        None => found,
    }
}

fn iec(size: ConductorSize, insulation: WiringInsulation, loaded: u8) -> Lookup<Current> {
    let columns = if insulation.is_cross_linked() {
        &TABLES.xlpe
    } else {
        &TABLES.pvc
    };
    let [two, three] = columns;
    let is_cool = insulation == WiringInsulation::Tw60;
    if loaded > 4 || is_cool {
        return Lookup::NotInTable {
            why: if is_cool {
                "no column is for insulation rated below 70 °C".into()
            } else {
                format!("the table ends before {loaded} loaded conductors")
            },
            citation: three.citation.clone(),
        };
    }
    let column = if loaded <= 2 { two } else { three };
    let found = column.value(size).remarked(Remark::MethodB2Assumed);
    if loaded < 4 {
        return found;
    }
    found
        .for_more_loaded(&loaded_neutral(), loaded)
        .remarked(Remark::NeutralLoaded)
}

/// What the terminals of a NEC circuit of 100 A or less allow: the 60 °C column, or that for 75 °C where both ends
/// are marked so (110.14(C)(1)(a)).
pub fn terminal_limit(size: ConductorSize, marked: Option<Temperature>) -> Lookup<Current> {
    let is_marked = marked.is_some_and(|marked| marked.get::<degree_celsius>() >= 75.0);
    let column = match is_marked {
        true => &TABLES.nec_75,
        false => &TABLES.nec_60,
    };
    column.value(size)
}

/// Largest overcurrent device of a small conductor in fixed wiring (NEC 240.4(D)); not the rule for cords.
/// Sizes above 10 AWG are not limited here.
pub fn largest_overcurrent_device(size: ConductorSize) -> Lookup<Current> {
    let column = &TABLES.protection;
    let above = super::by_size::is_larger(size, ConductorSize::Awg(10));
    if above {
        return not_listed(size, &column.citation);
    }
    column.value(size)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Area;
    use uom::si::area::square_millimeter;

    fn amperes(found: &Lookup<Current>) -> Option<f64> {
        found.value().map(|current| current.get::<ampere>())
    }

    fn mm2(value: f64) -> ConductorSize {
        ConductorSize::Metric(Area::new::<square_millimeter>(value))
    }

    /// NEC Table 310.16, copper: 12 AWG is 20, 25 and 30 A in the three columns.
    #[test]
    fn nec_wiring_reads_the_column_of_its_insulation() {
        for (name, expected) in [
            ("tw", 20.0),
            ("thwn", 25.0),
            ("THHN", 30.0),
            ("pvc-70", 20.0),
        ] {
            let insulation = WiringInsulation::from_name(name);
            let found = insulation.map(|i| ampacity(Practice::Nec, ConductorSize::Awg(12), i, 3));
            assert_eq!(found.as_ref().and_then(amperes), Some(expected), "{name}");
        }
        assert_eq!(WiringInsulation::from_name("paper"), None);
    }

    /// NEC 240.4(D): 15, 20 and 30 A for 14, 12 and 10 AWG copper; 7 and 10 A for 18 and 16.
    #[test]
    fn small_conductors_have_a_largest_device() {
        for (gauge, expected) in [(18, 7.0), (16, 10.0), (14, 15.0), (12, 20.0), (10, 30.0)] {
            let found = largest_overcurrent_device(ConductorSize::Awg(gauge));
            assert_eq!(amperes(&found), Some(expected), "{gauge}");
        }
        assert_eq!(
            amperes(&largest_overcurrent_device(ConductorSize::Awg(8))),
            None
        );
    }

    #[test]
    fn hotter_insulation_and_more_copper_never_carry_less() {
        use WiringInsulation::{Pvc70, Thhn90, Thwn75, Tw60, Xhhw90, Xlpe90};
        for practice in [Practice::Iec, Practice::Nec] {
            for insulation in [Pvc70, Xlpe90, Tw60, Thwn75, Thhn90, Xhhw90] {
                for loaded in 0..=6 {
                    let carried: Vec<_> = (1..1200)
                        .map(|n| mm2(f64::from(n) * 0.1))
                        .filter_map(|size| amperes(&ampacity(practice, size, insulation, loaded)))
                        .collect();
                    assert!(
                        carried.is_sorted(),
                        "{practice:?} {insulation:?} {carried:?}"
                    );
                }
            }
        }
        for n in 15..1200 {
            let size = mm2(f64::from(n) * 0.1);
            let carried = |insulation| amperes(&ampacity(Practice::Iec, size, insulation, 3));
            assert!(carried(Xlpe90) > carried(Pvc70), "{n}");
        }
    }

    #[test]
    fn the_assumed_method_is_said() {
        let found = ampacity(Practice::Iec, mm2(6.0), WiringInsulation::Pvc70, 2);
        assert_eq!(found.remarks(), [Remark::MethodB2Assumed]);
    }
}
