//! What decides a pair that no row of the table names.

use std::sync::LazyLock;

use rustc_hash::FxHashMap;
use serde::Deserialize;

use super::{Mate, Why, fitting};
use crate::citation::Citation;
use crate::tables::couplers::{Coupler, Family, PinAndSleeve};
use crate::tables::words::Phrase;
use crate::tables::{Provenance, Table};

/// A principle of mating, with its words and source in `mating-rules.yaml`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Rule {
    WrongHalf,
    DualOutlet,
    NotForDualOutlet,
    ApplianceCouplerWithAnother,
    IndustrialWithAnother,
    NemaWithNational,
    SheetsNotListed,
    NationalNotListed,
    NemaLockingAndStraight,
    NemaSeries,
    NemaCurrent,
    SleevePoles,
    SleeveCurrent,
    SleeveSeries,
    SleeveHour,
    SleeveHourNotWritten,
    SleeveUsualHour,
    SleeveSame,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    rule: Rule,
    why: Phrase,
    from: Provenance,
}

struct Said {
    why: Phrase,
    citation: Citation,
}

static SAID: LazyLock<FxHashMap<Rule, Said>> = LazyLock::new(|| {
    let text = include_str!("../data/mating-rules.yaml");
    let table: Table<Row> = Table::embedded("mating-rules", text);
    let said = |row: &Row| Said {
        why: row.why,
        citation: table.cite(&row.from),
    };
    table.rows.iter().map(|row| (row.rule, said(row))).collect()
});

impl Rule {
    /// # Panics
    /// If the table lacks the rule: a fault of the build, met by a test that walks all of them.
    fn said(self) -> &'static Said {
        match SAID.get(&self) {
            Some(said) => said,
            None => panic!("mating-rules.yaml lacks {self:?}"),
        }
    }

    pub(super) fn why(self) -> Phrase {
        self.said().why
    }

    pub(super) fn citation(self) -> &'static Citation {
        &self.said().citation
    }

    pub(super) fn refuses(self) -> Mate {
        Mate::DoesNotFit {
            why: Why::Row(self.why()),
            citation: self.citation().clone(),
        }
    }

    fn leaves_open(self) -> Mate {
        Mate::Unknown {
            why: self.why(),
            citation: self.citation().clone(),
        }
    }
}

/// Two NEMA configurations. The one-way exceptions are rows of the table.
pub(super) fn nema(contacts: &Coupler, pins: &Coupler, a: &str, b: &str) -> Mate {
    if contacts.name == pins.name {
        return itself(contacts, pins);
    }
    if contacts.locking != pins.locking {
        Rule::NemaLockingAndStraight.refuses()
    } else if a != b {
        Rule::NemaSeries.refuses()
    } else {
        Rule::NemaCurrent.refuses()
    }
}

/// Two IEC 60309 couplers: one plug goes with exactly one socket.
pub(super) fn pin_and_sleeve(
    contacts: &Coupler,
    pins: &Coupler,
    a: PinAndSleeve,
    b: PinAndSleeve,
) -> Mate {
    if a.size != b.size {
        Rule::SleeveCurrent.refuses()
    } else if a.poles != b.poles {
        Rule::SleevePoles.refuses()
    } else if a.usual_hour() != b.usual_hour() {
        if a.hour.is_some() && b.hour.is_some() {
            Rule::SleeveHour.refuses()
        } else {
            Rule::SleeveHourNotWritten.leaves_open()
        }
    } else if a.series != b.series {
        Rule::SleeveSeries.leaves_open()
    } else if a.hour.is_some() && b.hour.is_some() {
        fitting(contacts, pins, Rule::SleeveSame.citation(), None)
    } else {
        let rule = Rule::SleeveUsualHour;
        fitting(contacts, pins, rule.citation(), Some(rule.why()))
    }
}

/// Pairs that are told apart by name and family alone.
pub(super) fn named(contacts: &Coupler, pins: &Coupler) -> Mate {
    if contacts.name == pins.name {
        return itself(contacts, pins);
    }
    let either = |family| contacts.family == family || pins.family == family;
    let same = contacts.family == pins.family;
    match (same, contacts.family) {
        (true, Family::Iec60320) => Rule::SheetsNotListed.leaves_open(),
        (true, _) => Rule::NationalNotListed.leaves_open(),
        (false, _) if either(Family::Iec60320) => Rule::ApplianceCouplerWithAnother.refuses(),
        (false, _) if either(Family::Iec60309) => Rule::IndustrialWithAnother.refuses(),
        (false, _) => Rule::NemaWithNational.refuses(),
    }
}

/// Plug and receptacle of one name: the standard that makes the name makes the pair.
fn itself(contacts: &Coupler, pins: &Coupler) -> Mate {
    fitting(contacts, pins, &contacts.citation, None)
}

#[cfg(test)]
impl Rule {
    pub(super) const ALL: [Self; 18] = [
        Self::WrongHalf,
        Self::DualOutlet,
        Self::NotForDualOutlet,
        Self::ApplianceCouplerWithAnother,
        Self::IndustrialWithAnother,
        Self::NemaWithNational,
        Self::SheetsNotListed,
        Self::NationalNotListed,
        Self::NemaLockingAndStraight,
        Self::NemaSeries,
        Self::NemaCurrent,
        Self::SleevePoles,
        Self::SleeveCurrent,
        Self::SleeveSeries,
        Self::SleeveHour,
        Self::SleeveHourNotWritten,
        Self::SleeveUsualHour,
        Self::SleeveSame,
    ];
}
