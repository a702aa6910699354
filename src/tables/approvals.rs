//! What countries ask of wall plugs and cords: which approval marks they take.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::citation::{Citation, Confidence};
use crate::tables::marks::{self, Mark};
use crate::tables::{Provenance, Table};

/// Countries that ask for the same marks.
#[derive(Clone, Debug, PartialEq)]
pub struct Market {
    /// For example `European Union and EFTA`.
    pub name: String,
    /// ISO 3166-1 alpha-2 codes.
    pub countries: Vec<String>,
    /// Whether the assembled cord set is approved as a whole, not only its parts.
    pub whole_set: bool,
    /// What is asked of cords without a wall plug; `None` where the tables do not know.
    pub leads: Option<Leads>,
    /// Where the demand comes from.
    pub citation: Citation,
    /// What marks name it by, and the markets whose marks are taken besides.
    keys: Vec<String>,
}

/// What a market asks of a cord whose plug is one of IEC 60320 or IEC 60309.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Leads {
    /// The mark of any independent body.
    AnyBody,
    /// The same marks as of a cord with a wall plug.
    AsPlugs,
}

/// What a cord begins with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Begins {
    /// A wall plug, which belongs to some country.
    WallPlug,
    /// A plug of IEC 60320 or IEC 60309, which belongs to none.
    InternationalPlug,
}

/// What a mark is worth in a market.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Worth {
    /// It is one of those that are taken.
    Taken,
    /// It was one of those until another replaced it; what is older may bear it.
    Replaced,
    /// Its name alone does not tell which of several marks it is.
    Unclear,
    /// Somebody independent gave it, and what the market asks of such cords is not known.
    Unsettled,
    /// Somebody independent gave it, for other markets.
    Elsewhere,
    /// It says of no cord that somebody independent tested it.
    NoApproval,
}

impl Market {
    /// Whether a mark is one of those that are taken on wall plugs.
    pub fn takes(&self, mark: &Mark) -> bool {
        mark.is_approval() && self.is_among(&mark.taken_in)
    }

    /// The marks that are taken on wall plugs and still given: first those that are surest, and of these
    /// first the country's own.
    pub fn marks(&self) -> Vec<&'static Mark> {
        let is_given = |mark: &&Mark| self.takes(mark) && mark.until.is_none();
        let mut marks: Vec<&Mark> = marks::all().filter(is_given).collect();
        marks.sort_by_key(|mark| {
            let is_own = mark
                .home
                .as_ref()
                .is_some_and(|home| self.countries.contains(home));
            (!mark.citation.confidence.is_firm(), !is_own)
        });
        marks
    }

    /// Whether a cord that begins so may bear the mark of any independent body.
    pub fn takes_any_body(&self, begins: Begins) -> bool {
        begins == Begins::InternationalPlug && self.leads == Some(Leads::AnyBody)
    }

    /// What a mark on a cord is worth here, in a year.
    pub fn worth(&self, mark: &Mark, begins: Begins, year: u16) -> Worth {
        let is_known = begins == Begins::WallPlug || self.leads.is_some();
        if !mark.is_approval() {
            Worth::NoApproval
        } else if self.takes_any_body(begins) {
            Worth::Taken
        } else if self.takes(mark) {
            match mark.until {
                Some(until) if until < year => Worth::Replaced,
                _ => Worth::Taken,
            }
        } else if self.leaves_unclear(mark) {
            Worth::Unclear
        } else if is_known {
            Worth::Elsewhere
        } else {
            Worth::Unsettled
        }
    }

    /// Whether the name of a mark does not tell here which of several it is.
    pub fn leaves_unclear(&self, mark: &Mark) -> bool {
        self.is_among(&mark.unclear_in)
    }

    /// Whether it is sure enough what is asked for that other marks may be called wrong.
    pub fn is_settled(&self) -> bool {
        !matches!(
            self.citation.confidence,
            Confidence::FromMemory | Confidence::Disputed
        )
    }

    fn is_among(&self, keys: &[String]) -> bool {
        keys.iter().any(|key| self.keys.contains(key))
    }

    /// What marks name it by.
    #[cfg(test)]
    pub(super) fn key(&self) -> &str {
        &self.keys[0]
    }

    /// The markets whose marks are taken besides.
    #[cfg(test)]
    pub(super) fn also_those_of(&self) -> &[String] {
        &self.keys[1..]
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    market: String,
    key: String,
    countries: Vec<String>,
    #[serde(default)]
    also_those_of: Vec<String>,
    leads: Option<Leads>,
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
        whole_set: row.whole_set,
        leads: row.leads,
        keys: [row.key].into_iter().chain(row.also_those_of).collect(),
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
