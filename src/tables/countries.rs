//! Mains voltage and wall plugs by country.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_potential::volt;
use uom::si::frequency::hertz;

use crate::citation::Cited;
use crate::quantity::{Frequency, Voltage};
use crate::tables::approvals::{self, Market};
use crate::tables::couplers::{self, Coupler, Family, Side};
use crate::tables::{Provenance, Table};

#[cfg(test)]
mod tests;

/// What a country's public supply and wall sockets are.
///
/// A field whose citation is [`Confidence::Disputed`](crate::citation::Confidence::Disputed) lists the values of all sources; no error may rest on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Country {
    /// ISO 3166-1 alpha-2.
    pub code: String,
    /// English short name.
    pub name: String,
    /// Other names by which people mean this country and no other, such as `UK`.
    pub also_called: Vec<String>,
    /// Nominal voltages, line to neutral.
    pub voltages: Cited<Vec<Voltage>>,
    /// Nominal frequencies.
    pub frequencies: Cited<Vec<Frequency>>,
    /// Nominal voltages between lines of a three-phase supply; `None` where no figure was found.
    pub three_phase: Option<Cited<Vec<Voltage>>>,
    /// Whether that supply has a neutral, from which its voltage divided by √3 is had.
    pub has_star: bool,
    /// Other nominal voltages between lines that are met there, such as those of transformers for data rooms.
    pub also_met: Vec<Cited<Vec<Voltage>>>,
    /// Canonical names of the wall plugs in use, sorted.
    pub wall_plugs: Cited<Vec<String>>,
    /// The same as the table has them: `NEMA *` for every coupler whose name begins so.
    pub kinds_of_plugs: Vec<String>,
}

/// How a plug stands to a country's wall sockets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// A wall plug of that country.
    Usual,
    /// Not bound to a country: IEC 60309 and IEC 60320; what a site describes itself has its own word for it.
    International,
    /// A wall plug of somewhere else.
    Foreign,
}

impl Country {
    /// How a plug stands to the wall sockets of the country.
    pub fn standing(&self, plug: &Coupler) -> Standing {
        match plug.family {
            Family::Iec60309 | Family::Iec60320 | Family::Own => Standing::International,
            _ if self.has_at_the_wall(plug.face()) => Standing::Usual,
            _ => Standing::Foreign,
        }
    }

    fn has_at_the_wall(&self, plug: &Coupler) -> bool {
        self.wall_plugs.value.binary_search(&plug.name).is_ok()
    }

    /// The marks asked for; `None` where the table has none for the country, which asks for an open point.
    pub fn market(&self) -> Option<&'static Market> {
        approvals::market(&self.code)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Volts {
    volts: Vec<f64>,
    /// Whether a three-phase supply of it has a neutral.
    star: Option<bool>,
    from: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Hertz {
    hertz: Vec<f64>,
    from: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Names {
    names: Vec<String>,
    from: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    code: String,
    name: String,
    #[serde(default)]
    also_called: Vec<String>,
    mains: Volts,
    frequency: Hertz,
    three_phase: Option<Volts>,
    #[serde(default)]
    also_met: Vec<Volts>,
    plugs: Names,
}

/// The table files, in each of which a row is a country:
///
/// - Where lists give different values, all stand there as `disputed`, and no error is made of them.
/// - Voltages are nominal: `mains` from line to neutral, `three-phase` between lines, and `also-met`
///   between lines of what is not the public supply of today.
/// - Country lists give plugs by letters, each of which is a family of plugs, not a mate.
const FILES: [(&str, &str); 4] = [
    (
        "countries-africa-and-oceania",
        include_str!("data/countries-africa-and-oceania.yaml"),
    ),
    (
        "countries-americas",
        include_str!("data/countries-americas.yaml"),
    ),
    ("countries-asia", include_str!("data/countries-asia.yaml")),
    (
        "countries-europe",
        include_str!("data/countries-europe.yaml"),
    ),
];

static COUNTRIES: LazyLock<Vec<Country>> = LazyLock::new(|| {
    let mut countries = Vec::new();
    for (name, text) in FILES {
        let table: Table<Row> = Table::embedded(name, text);
        countries.extend(table.rows.iter().map(|row| decode(&table, row)));
    }
    countries.sort_by(|a, b| a.code.cmp(&b.code));
    countries
});

fn decode(table: &Table<Row>, row: &Row) -> Country {
    let cited = |volts: &Volts| Cited {
        value: volts
            .volts
            .iter()
            .copied()
            .map(Voltage::new::<volt>)
            .collect(),
        citation: table.cite(&volts.from),
    };
    let frequencies = row.frequency.hertz.iter().copied();
    Country {
        code: row.code.clone(),
        name: row.name.clone(),
        also_called: row.also_called.clone(),
        voltages: cited(&row.mains),
        frequencies: Cited {
            value: frequencies.map(Frequency::new::<hertz>).collect(),
            citation: table.cite(&row.frequency.from),
        },
        three_phase: row.three_phase.as_ref().map(cited),
        has_star: row
            .three_phase
            .as_ref()
            .is_none_or(|row| row.star != Some(false)),
        also_met: row.also_met.iter().map(cited).collect(),
        wall_plugs: Cited {
            value: expanded(&row.plugs.names),
            citation: table.cite(&row.plugs.from),
        },
        kinds_of_plugs: row.plugs.names.clone(),
    }
}

/// Names in full, sorted: those of all plugs that the patterns mean.
fn expanded(patterns: &[String]) -> Vec<String> {
    let plugs = couplers::all().filter(|coupler| coupler.role.may_be(Side::Pins));
    let names = plugs.map(|coupler| &coupler.name);
    let is_meant = |name: &&String| {
        let mut patterns = patterns.iter();
        patterns.any(|pattern| couplers::is_meant(pattern, name))
    };
    let mut all: Vec<String> = names.filter(is_meant).cloned().collect();
    all.sort();
    all
}

/// The country of an ISO 3166-1 alpha-2 code, in capitals or not.
pub fn country(code: &str) -> Option<&'static Country> {
    let code = code.to_ascii_uppercase();
    let place = COUNTRIES.binary_search_by(|country| country.code.as_str().cmp(&code));
    COUNTRIES.get(place.ok()?)
}

/// The country that people mean by a text: its code, its English name, or what else it alone is called.
/// Capitals, blanks and what joins words do not matter.
pub fn meant(text: &str) -> Option<&'static Country> {
    let letters = letters(text);
    country(text.trim()).or_else(|| {
        all().find(|country| {
            let mut names = country.also_called.iter().chain([&country.name]);
            names.any(|name| self::letters(name) == letters)
        })
    })
}

/// The letters and digits of a name, all small.
fn letters(name: &str) -> String {
    let letters = name.chars().filter(|letter| letter.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}

/// Every country of the table, sorted by code.
pub fn all() -> impl Iterator<Item = &'static Country> {
    COUNTRIES.iter()
}
