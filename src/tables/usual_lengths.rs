//! The lengths that cord sets are usually kept in, where a site names none of its own.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{Practice, Provenance, Table};
use crate::citation::Cited;
use crate::quantity::{Length, Quantity};

#[derive(Debug, Deserialize)]
struct Row {
    practice: Practice,
    lengths: Vec<String>,
    #[serde(flatten)]
    provenance: Provenance,
}

static LENGTHS: LazyLock<Vec<(Practice, Vec<Cited<Length>>)>> = LazyLock::new(|| {
    let text = include_str!("data/usual_lengths.yaml");
    let table = Table::<Row>::embedded("usual_lengths", text);
    let rows = table.rows.iter().map(|row| {
        let lengths = row
            .lengths
            .iter()
            .filter_map(|text| Length::read(text).ok());
        let cited = lengths.map(|value| Cited {
            value,
            citation: table.cite(&row.provenance),
        });
        (row.practice, cited.collect())
    });
    rows.collect()
});

/// The usual lengths under a practice, the shortest first.
pub fn of(practice: Practice) -> &'static [Cited<Length>] {
    let row = LENGTHS.iter().find(|(of, _)| *of == practice);
    row.map_or(&[], |(_, lengths)| lengths)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::InUnits;

    /// Every length of the file can be read, and they are in order.
    #[test]
    fn lengths_are_in_order() {
        for practice in [Practice::Iec, Practice::Nec] {
            let metres: Vec<f64> = of(practice).iter().map(|l| l.value.in_metres()).collect();
            assert!(metres.len() == 6 && metres.is_sorted(), "{metres:?}");
        }
    }
}
