//! Editions of the wiring rules, and what they say where they differ.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::{ampere, milliampere};
use uom::si::electric_potential::volt;
use uom::si::time::second;

use super::{Practice, Provenance, Table};
use crate::citation::Cited;
use crate::quantity::{Current, Time, Voltage};

/// An edition of the wiring rules. What is `None` is not known of it.
#[derive(Clone, Debug)]
pub struct Edition {
    /// For example `BS 7671:2018+A2:2022`.
    pub name: String,
    /// Texts that say the same.
    pub adopted: Vec<String>,
    /// The practice that it is of.
    pub practice: Practice,
    /// The country whose own rules it is of, by its code.
    pub country: Option<String>,
    /// Up to which overcurrent device the short disconnection times hold.
    pub short_times: Option<Cited<ShortTimes>>,
    /// Up to which rating sockets for general use need a residual current device of 30 mA.
    pub sockets_with_rcd: Option<Cited<Current>>,
    /// Above how much protective conductor current one item of equipment must not have an ordinary plug;
    /// `None` within where there is no such step.
    pub item_on_plug: Option<Cited<Option<Current>>>,
    /// What is asked of electronics that hold the current of a fault down, so that no device opens.
    pub limited_source: Option<Cited<LimitedSource>>,
}

/// What is enough where electronics hold the current of a fault down (IEC 60364-4-41 411.3.2.5).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct LimitedSource {
    /// To what their voltage must fall within the time of Table 41.1.
    pub voltage: Voltage,
    /// By when they must be off.
    pub off_by: Time,
}

/// Up to which overcurrent device the short disconnection times of IEC 60364-4-41 Table 41.1 hold.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ShortTimes {
    /// Of circuits with socket-outlets.
    pub sockets: Current,
    /// Of all others.
    pub others: Current,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Row {
    name: String,
    #[serde(default)]
    adopted: Vec<String>,
    practice: Practice,
    country: Option<String>,
    short_times: Option<TimesRow>,
    sockets_with_rcd: Option<SocketsRow>,
    item_on_plug: Option<ItemRow>,
    limited_source: Option<LimitedRow>,
}

#[derive(Debug, Deserialize)]
struct LimitedRow {
    volts: f64,
    seconds: f64,
    #[serde(flatten)]
    provenance: Provenance,
}

#[derive(Debug, Deserialize)]
struct TimesRow {
    sockets: f64,
    others: f64,
    #[serde(flatten)]
    provenance: Provenance,
}

#[derive(Debug, Deserialize)]
struct SocketsRow {
    amperes: f64,
    #[serde(flatten)]
    provenance: Provenance,
}

/// Either a current, or that there is no such step.
#[derive(Debug, Deserialize)]
struct ItemRow {
    milliamperes: Option<f64>,
    #[serde(default)]
    none: bool,
    #[serde(flatten)]
    provenance: Provenance,
}

static EDITIONS: LazyLock<Vec<Edition>> = LazyLock::new(|| {
    let mut table = Table::<Row>::embedded("editions", include_str!("data/editions.yaml"));
    let rows = std::mem::take(&mut table.rows).into_iter();
    rows.map(|row| edition(&table, row)).collect()
});

fn edition(table: &Table<Row>, row: Row) -> Edition {
    let amperes = Current::new::<ampere>;
    let short_times = row.short_times.map(|times| Cited {
        value: ShortTimes {
            sockets: amperes(times.sockets),
            others: amperes(times.others),
        },
        citation: table.cite(&times.provenance),
    });
    let sockets_with_rcd = row.sockets_with_rcd.map(|sockets| Cited {
        value: amperes(sockets.amperes),
        citation: table.cite(&sockets.provenance),
    });
    let item_on_plug = row.item_on_plug.map(|item| {
        assert!(item.none != item.milliamperes.is_some(), "{}", row.name);
        Cited {
            value: item.milliamperes.map(Current::new::<milliampere>),
            citation: table.cite(&item.provenance),
        }
    });
    let limited_source = row.limited_source.map(|limited| Cited {
        value: LimitedSource {
            voltage: Voltage::new::<volt>(limited.volts),
            off_by: Time::new::<second>(limited.seconds),
        },
        citation: table.cite(&limited.provenance),
    });
    Edition {
        name: row.name,
        adopted: row.adopted,
        practice: row.practice,
        country: row.country,
        short_times,
        sockets_with_rcd,
        item_on_plug,
        limited_source,
    }
}

impl Edition {
    /// Its name, and those of the texts that say the same.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(&self.name)
            .chain(&self.adopted)
            .map(String::as_str)
    }
}

/// All of them, those of one set of rules from the oldest to the newest.
pub fn all() -> impl Iterator<Item = &'static Edition> {
    EDITIONS.iter()
}

/// The edition that goes by a name, in capitals or small letters, with or without blanks.
pub fn find(name: &str) -> Option<&'static Edition> {
    let plain = |text: &str| -> String {
        let letters = text.chars().filter(|letter| !letter.is_whitespace());
        letters.flat_map(char::to_uppercase).collect()
    };
    let wanted = plain(name);
    all().find(|edition| edition.names().any(|name| plain(name) == wanted))
}

/// Those that may bind where none is named: the country's own rules, if the tables have them, or else the
/// international ones; all where the country is not known.
pub fn in_question(practice: Practice, country: Option<&str>) -> Vec<&'static Edition> {
    let of_practice = || all().filter(move |edition| edition.practice == practice);
    let of = |country: Option<&str>| -> Vec<_> {
        let own = of_practice().filter(|edition| edition.country.as_deref() == country);
        own.collect()
    };
    match country {
        None => of_practice().collect(),
        Some(_) => match of(country) {
            own if own.is_empty() => of(None),
            own => own,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::amperes;

    #[test]
    fn editions_are_found_by_each_of_their_names() {
        for name in [
            "BS 7671:2018+A2:2022",
            "bs7671:2018 + a2:2022",
            "NEC 2023",
            "NFPA 70-2023",
            "HD 60364-4-41:2017",
        ] {
            assert!(find(name).is_some(), "{name}");
        }
        for name in ["BS 7671", "NEC", "2018", "", "BS 7671:2019"] {
            assert!(find(name).is_none(), "{name}");
        }
        let mut names: Vec<&str> = all().flat_map(Edition::names).collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
    }

    /// IEC 60364-4-41 411.3.2.2 before and after amendment 1; BS 7671:2018 has the same limits as the latter.
    #[test]
    fn short_times_hold_up_to_what_each_edition_says() {
        let upto = |name| {
            let times = find(name).and_then(|edition| edition.short_times.as_ref());
            times.map(|times| (times.value.sockets, times.value.others))
        };
        let (narrow, wide) = (
            Some((amperes(32.0), amperes(32.0))),
            Some((amperes(63.0), amperes(32.0))),
        );
        assert_eq!(upto("IEC 60364-4-41:2005"), narrow);
        assert_eq!(upto("BS 7671:2008+A3:2015"), narrow);
        assert_eq!(upto("DIN VDE 0100-410:2018-10"), wide);
        assert_eq!(upto("BS 7671:2018"), wide);
        assert_eq!(upto("BS 7671:2018+A3:2024"), None);
    }

    #[test]
    fn without_a_name_the_rules_of_the_country_are_in_question() {
        let names = |country| {
            let editions = in_question(Practice::Iec, country).into_iter();
            editions
                .map(|edition| edition.name.as_str())
                .collect::<Vec<_>>()
        };
        assert!(names(Some("GB")).iter().all(|name| name.starts_with("BS")));
        assert!(names(Some("DE")).iter().all(|name| name.starts_with("IEC")));
        assert_eq!(
            names(None).len(),
            names(Some("GB")).len() + names(Some("DE")).len()
        );
    }
}
