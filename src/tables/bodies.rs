//! How far the moulded ends of cords usually stand out.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{Provenance, Table};
use crate::citation::Citation;
use crate::quantity::{Length, millimetres};

/// The usual size of an end; from memory, so that nothing but an open point may rest on it.
#[derive(Clone, Debug, PartialEq)]
pub struct StandOutRange {
    /// The shortest that is usual.
    pub least: Length,
    /// The longest that is usual.
    pub most: Length,
    /// Where it comes from.
    pub citation: Citation,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    couplers: Vec<String>,
    straight: (f64, f64),
    angled: (f64, f64),
    from: Provenance,
}

static TABLE: LazyLock<Table<Row>> =
    LazyLock::new(|| Table::embedded("bodies", include_str!("data/bodies.yaml")));

/// How far an end with this coupler usually stands out; `None` for couplers that the table leaves out.
pub fn usual(coupler: &str, is_angled: bool) -> Option<StandOutRange> {
    let mut rows = TABLE.rows.iter();
    let row = rows.find(|row| row.couplers.iter().any(|name| name == coupler))?;
    let (least, most) = if is_angled { row.angled } else { row.straight };
    Some(StandOutRange {
        least: millimetres(least),
        most: millimetres(most),
        citation: TABLE.cite(&row.from),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::couplers;

    /// The table speaks of couplers that exist, an angled end stands out less than a straight one, and
    /// no row claims more than memory.
    #[test]
    fn rows_are_of_real_couplers_and_no_firmer_than_they_are() {
        for name in TABLE.rows.iter().flat_map(|row| &row.couplers) {
            assert!(couplers::find(name).is_some(), "{name}");
            let (Some(straight), Some(angled)) = (usual(name, false), usual(name, true)) else {
                panic!("{name} is not found in its own table");
            };
            assert!(straight.least < straight.most && angled.least < angled.most);
            assert!(angled.most < straight.least, "{name}");
            assert!(!straight.citation.confidence.is_firm());
        }
        assert_eq!(usual("C1", false), None);
    }
}
