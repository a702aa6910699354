//! The largest overcurrent device that may stand ahead of an outlet that is rated for less, by the rules of
//! a country or by the practice.

use std::sync::LazyLock;

use serde::Deserialize;

use super::countries::Country;
use super::couplers::{Coupler, Family, is_meant};
use super::{Practice, Provenance, Table};
use crate::citation::{Citation, Cited, Confidence};
use crate::quantity::{Current, InUnits, Quantity, amperes};

#[cfg(test)]
mod tests;

/// What stands behind the device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// A receptacle of the wiring.
    Receptacle,
    /// An outlet of a strip.
    Outlet,
    /// The plug of a strip.
    Plug,
}

/// An outlet, or a plug, behind an overcurrent device.
#[derive(Clone, Copy, Debug)]
pub struct Behind<'a> {
    /// What it is.
    pub place: Place,
    /// Its configuration.
    pub coupler: &'a Coupler,
    /// Its rated current.
    pub rated: Current,
    /// Whether its circuit has two receptacles or more.
    pub is_shared: bool,
}

/// How the rules stand to a device ahead of an outlet that is rated for less.
#[derive(Clone, Debug, PartialEq)]
pub enum Ahead {
    /// It may stand there.
    Allowed(Citation),
    /// This is the largest that may.
    UpTo(Current, Option<Citation>),
    /// The tables do not settle it; what is said from memory, if anything.
    Unsettled(Option<Cited<Current>>),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    #[serde(default)]
    countries: Vec<String>,
    practice: Option<Practice>,
    #[serde(default)]
    couplers: Vec<String>,
    #[serde(default)]
    at: Vec<Place>,
    #[serde(default)]
    shared: bool,
    amperes: Option<f64>,
    more_than: Option<f64>,
    device: Option<f64>,
    percent: Option<f64>,
    #[serde(default)]
    bars: bool,
    from: Provenance,
}

static TABLE: LazyLock<Table<Row>> =
    LazyLock::new(|| Table::embedded("breaker_ahead", include_str!("data/breaker_ahead.yaml")));

impl Row {
    fn speaks_of(&self, behind: &Behind<'_>) -> bool {
        let Behind { place, coupler, .. } = behind;
        let is_meant = match self.couplers.is_empty() {
            true => coupler.family != Family::National,
            false => self
                .couplers
                .iter()
                .any(|pattern| is_meant(pattern, &coupler.name)),
        };
        let rated = behind.rated.in_amperes();
        is_meant
            && (self.at.is_empty() || self.at.contains(place))
            && (!self.shared || behind.is_shared)
            && self.amperes.is_none_or(|own| own == rated)
            && self.more_than.is_none_or(|least| rated > least)
    }

    /// The largest device, in amperes.
    fn most(&self, rated: Current) -> f64 {
        let share = self
            .percent
            .map(|percent| rated.in_amperes() * percent / 100.0);
        self.device.or(share).unwrap_or_default()
    }

    fn words(&self) -> String {
        let couplers = self.couplers.join(", ").replace(" *", "");
        let rated = match (self.amperes, self.more_than) {
            (Some(rated), _) => format!(", {}", amperes(rated).show()),
            (None, Some(least)) => format!(" above {}", amperes(least).show()),
            (None, None) => String::new(),
        };
        let most = match (self.device, self.percent) {
            (Some(device), _) => amperes(device).show(),
            (None, percent) => format!("{} % of that", percent.unwrap_or(100.0)),
        };
        format!("{couplers}{rated}: behind up to {most}")
    }

    fn cited(&self, rated: Current) -> Cited<Current> {
        Cited {
            value: amperes(self.most(rated)),
            citation: TABLE.cite(&self.from),
        }
    }

    /// Whether a pass may rest on it.
    fn is_settled(&self) -> bool {
        !matches!(
            self.from.confidence,
            Confidence::FromMemory | Confidence::Disputed
        )
    }
}

/// The rows that rule: those of the country, if there are any, or those of the practice.
fn rows(country: Option<&str>, practice: Practice, behind: &Behind<'_>) -> Vec<&'static Row> {
    let speaking = || TABLE.rows.iter().filter(|row| row.speaks_of(behind));
    let is_of_country = |row: &&Row| {
        row.countries
            .iter()
            .any(|code| Some(code.as_str()) == country)
    };
    let of_country: Vec<&Row> = speaking().filter(is_of_country).collect();
    match of_country.is_empty() {
        true => speaking()
            .filter(|row| row.practice == Some(practice))
            .collect(),
        false => of_country,
    }
}

/// What the rules of a country say of its sockets, as the table has it: `CEE 7/5, 16 A: behind up to 20 A`.
pub fn of_country(country: &Country) -> impl Iterator<Item = Cited<String>> {
    let has_plug = |pattern: &String| {
        let mut plugs = country.wall_plugs.value.iter();
        plugs.any(|plug| is_meant(pattern, plug))
    };
    let is_of = move |row: &&Row| match row.countries.is_empty() {
        true => row.couplers.iter().any(has_plug),
        false => row.countries.contains(&country.code),
    };
    let rows = TABLE.rows.iter().filter(is_of);
    rows.map(|row| Cited {
        value: row.words(),
        citation: TABLE.cite(&row.from),
    })
}

/// The largest device that any row, of whatever country and confidence, lets stand ahead of a rating.
fn most_anywhere(rated: Current) -> f64 {
    let rows = TABLE
        .rows
        .iter()
        .filter(|row| row.amperes == Some(rated.in_amperes()));
    rows.map(|row| row.most(rated))
        .fold(rated.in_amperes(), f64::max)
}

/// How the rules stand to `device` ahead of an outlet whose rating it exceeds. A pass rests on no row
/// from memory. Sockets of one country are ruled by that country: where the table has no rule of it for
/// them the point is open, up to what any country allows.
pub fn ahead(
    country: Option<&str>,
    practice: Practice,
    behind: &Behind<'_>,
    device: Current,
) -> Ahead {
    let rows = rows(country, practice, behind);
    let bears = |row: &&&Row| device.in_amperes() <= row.most(behind.rated);
    let largest = |settled: bool| {
        let rows = rows.iter().filter(|row| row.is_settled() == settled);
        rows.max_by(|a, b| a.most(behind.rated).total_cmp(&b.most(behind.rated)))
    };
    if let Some(row) = largest(true).filter(bears) {
        return Ahead::Allowed(TABLE.cite(&row.from));
    }
    if let Some(row) = largest(false).filter(bears) {
        return Ahead::Unsettled(Some(row.cited(behind.rated)));
    }
    let is_national = behind.coupler.family == Family::National;
    if rows.is_empty() && is_national && device.in_amperes() <= most_anywhere(behind.rated) {
        return Ahead::Unsettled(None);
    }
    let bar = rows.iter().find(|row| row.bars);
    let bar = bar.or(largest(true)).or(largest(false));
    match bar.map(|row| row.cited(behind.rated)) {
        Some(Cited { value, citation }) => Ahead::UpTo(value, Some(citation)),
        None => Ahead::UpTo(behind.rated, None),
    }
}
