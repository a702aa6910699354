//! The least earth conductor that NEC practice asks for behind an overcurrent device.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::ampere;

use super::by_size::ListedSize;
use super::lookup::Lookup;
use super::{Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{ConductorSize, Current};

/// Ratings closer than this are the same: absorbs rounding.
const SAME_AMPERES: f64 = 1e-6;

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    upto_amperes: f64,
    size: ListedSize,
    #[serde(flatten)]
    provenance: Provenance,
}

static ROWS: LazyLock<Vec<(f64, Cited<ConductorSize>)>> = LazyLock::new(|| {
    let text = include_str!("data/earth_conductor.yaml");
    let table = Table::<Row>::embedded("earth_conductor", text);
    let rows = table.rows.iter().map(|row| {
        let cited = Cited {
            value: row.size.0,
            citation: table.cite(&row.provenance),
        };
        (row.upto_amperes + SAME_AMPERES, cited)
    });
    rows.collect()
});

/// Least equipment grounding conductor of copper behind a device of so many amperes (NEC Table 250.122). It
/// need never be larger than the circuit conductors (250.122(A)), which whoever asks has to see to.
pub fn behind(device: Current) -> Lookup<ConductorSize> {
    let rating = device.get::<ampere>();
    match ROWS.iter().find(|(upto, _)| rating <= *upto) {
        Some((_, cited)) => Lookup::known(cited.value, cited.citation.clone()),
        None => Lookup::NotInTable {
            why: "the table ends before a device of this rating".into(),
            citation: ROWS.first().map_or_else(
                || Citation::common_practice("earth conductors"),
                |(_, cited)| cited.citation.clone(),
            ),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_row_holds_up_to_its_rating() {
        let least = |rating| behind(Current::new::<ampere>(rating)).value().copied();
        for (rating, gauge) in [
            (10.0, 14),
            (15.0, 14),
            (15.1, 12),
            (20.0, 12),
            (30.0, 10),
            (60.0, 10),
            (61.0, 8),
            (100.0, 8),
            (200.0, 6),
            (600.0, 1),
            (800.0, 0),
            (1600.0, -3),
        ] {
            assert_eq!(least(rating), Some(ConductorSize::Awg(gauge)), "{rating}");
        }
        assert_eq!(least(1601.0), None);
    }
}
