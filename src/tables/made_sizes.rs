//! The sizes of conductor that cords and cables are bought in.

use std::sync::LazyLock;

use serde::Deserialize;

use super::by_size::ListedSize;
use super::{Provenance, Table};
use crate::citation::Cited;
use crate::quantity::ConductorSize;

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    size: ListedSize,
    #[serde(flatten)]
    provenance: Provenance,
}

static SIZES: LazyLock<Vec<Cited<ConductorSize>>> = LazyLock::new(|| {
    let text = include_str!("data/made_sizes.yaml");
    let table = Table::<Row>::embedded("made_sizes", text);
    let sizes = table.rows.iter().map(|row| Cited {
        value: row.size.0,
        citation: table.cite(&row.provenance),
    });
    sizes.collect()
});

/// The sizes of the system, metric or gauge, that a size is of, smallest first; metric ones where it
/// is not known.
pub fn like(size: Option<ConductorSize>) -> impl Iterator<Item = ConductorSize> {
    let is_gauge = |size: ConductorSize| matches!(size, ConductorSize::Awg(_));
    let wanted = size.is_some_and(is_gauge);
    let sizes = SIZES.iter().map(|size| size.value);
    sizes.filter(move |size| is_gauge(*size) == wanted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::InUnits;

    #[test]
    fn each_system_is_in_order() {
        for like_what in [None, Some(ConductorSize::Awg(14))] {
            let areas: Vec<f64> = like(like_what)
                .map(|size| size.area().in_square_millimetres())
                .collect();
            assert!(areas.is_sorted() && areas.len() > 10, "{areas:?}");
        }
    }

    /// IEC 60228, 2004, Table 3: the sizes of flexible cords; ASTM B258: every second gauge to 4.
    #[test]
    fn the_sizes_of_cords_are_those_of_the_standards() {
        let metric = like(None).take(6);
        let metric = metric.map(|size| size.area().in_square_millimetres());
        let expected = [0.5, 0.75, 1.0, 1.5, 2.5, 4.0];
        assert!(metric.zip(expected).all(|(a, b)| (a - b).abs() < 1e-12));
        let gauges = [18, 16, 14, 12, 10, 8, 6, 4].map(ConductorSize::Awg);
        assert!(like(Some(ConductorSize::Awg(18))).take(8).eq(gauges));
    }

    #[test]
    fn every_size_has_a_source() {
        assert!(SIZES.iter().all(|size| !size.citation.standard.is_empty()));
    }
}
