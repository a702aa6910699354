//! What lets a socket of the wiring do without a residual current device of 30 mA.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{Provenance, Table};
use crate::citation::{Citation, Cited};

/// What the rules of a country take for a reason.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct Exceptions {
    country: Option<String>,
    /// People who are instructed or skilled use it alone.
    pub trained: bool,
    /// It is for one piece of equipment, and marked so.
    pub dedicated: bool,
    /// A risk assessment says so.
    pub assessed: bool,
    /// That does not count where ordinary people use it.
    pub not_for_ordinary: bool,
}

#[derive(Debug, Deserialize)]
struct Row {
    #[serde(flatten)]
    exceptions: Exceptions,
    #[serde(flatten)]
    provenance: Provenance,
}

static ROWS: LazyLock<Vec<Cited<Exceptions>>> = LazyLock::new(|| {
    let text = include_str!("data/socket_exceptions.yaml");
    let table = Table::<Row>::embedded("socket_exceptions", text);
    let cite = |row: &Row| table.cite(&row.provenance);
    let citations: Vec<Citation> = table.rows.iter().map(cite).collect();
    let rows = table.rows.into_iter().zip(citations);
    rows.map(|(row, citation)| Cited {
        value: row.exceptions,
        citation,
    })
    .collect()
});

/// Those of a country, or else those of the international text.
pub fn of(country: Option<&str>) -> Option<&'static Cited<Exceptions>> {
    let of = |wanted: Option<&str>| {
        let mut rows = ROWS.iter();
        rows.find(|row| row.value.country.as_deref() == wanted)
    };
    country.and_then(|code| of(Some(code))).or_else(|| of(None))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_country_takes_what_its_own_text_names() {
        let taken = |country| {
            let row = &of(country).unwrap().value;
            (row.trained, row.dedicated, row.assessed)
        };
        assert_eq!(taken(None), (true, true, false));
        assert_eq!(taken(Some("NL")), (true, true, false));
        assert_eq!(taken(Some("DE")), (false, false, true));
        assert_eq!(taken(Some("GB")), (false, false, true));
        assert_eq!(taken(Some("FR")), (false, false, false));
    }
}
