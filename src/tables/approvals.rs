//! Approval marks by market.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::citation::Citation;
use crate::tables::{Provenance, Table};

/// The marks that a market asks for on plugs, connectors and cord sets.
#[derive(Clone, Debug, PartialEq)]
pub struct Market {
    /// For example `European Union and EFTA`.
    pub name: String,
    /// ISO 3166-1 alpha-2 codes.
    pub countries: Vec<String>,
    /// Any one of these will do.
    pub marks: Vec<String>,
    /// Marks of the flexible cord itself, where the market has such.
    pub cordage_marks: Vec<String>,
    /// Marks often taken for an approval that are none for plugs and cords.
    pub not_enough: Vec<String>,
    /// Whether the assembled cord set is approved as a whole, not only its parts.
    pub whole_set: bool,
    /// Where the list comes from.
    pub citation: Citation,
}

impl Market {
    /// Whether one of the marks is among those asked for; letter case does not matter.
    pub fn accepts<'a>(&self, marks: impl IntoIterator<Item = &'a str>) -> bool {
        marks.into_iter().any(|mark| among(mark, &self.marks))
    }

    /// Whether the mark is one that says nothing about plugs and cords here, such as CE in Europe.
    pub fn is_not_enough(&self, mark: &str) -> bool {
        among(mark, &self.not_enough)
    }
}

fn among(mark: &str, marks: &[String]) -> bool {
    let mark = mark.trim().to_lowercase();
    marks.iter().any(|other| other.to_lowercase() == mark)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    market: String,
    countries: Vec<String>,
    marks: Vec<String>,
    #[serde(default)]
    cordage_marks: Vec<String>,
    #[serde(default)]
    not_enough: Vec<String>,
    #[serde(default)]
    whole_set: bool,
    from: Provenance,
}

static MARKETS: LazyLock<Vec<Market>> = LazyLock::new(|| {
    let mut table: Table<Row> = Table::embedded("approvals", include_str!("data/approvals.yaml"));
    let rows = std::mem::take(&mut table.rows);
    let decode = |row: Row| Market {
        citation: table.cite(&row.from),
        name: row.market,
        countries: row.countries,
        marks: row.marks,
        cordage_marks: row.cordage_marks,
        not_enough: row.not_enough,
        whole_set: row.whole_set,
    };
    rows.into_iter().map(decode).collect()
});

/// The market of a country (ISO 3166-1 alpha-2, capitals); `None` where the table has none.
pub fn market(country: &str) -> Option<&'static Market> {
    MARKETS
        .iter()
        .find(|market| market.countries.iter().any(|code| code == country))
}

/// Every market, in the order of the table.
pub fn all() -> impl Iterator<Item = &'static Market> {
    MARKETS.iter()
}
