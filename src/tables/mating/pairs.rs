//! The pairs that the table names.

use std::sync::LazyLock;

use rustc_hash::FxHashMap;
use serde::Deserialize;

use super::{EarthMade, Mate, Polarity, Why, fitting};
use crate::citation::Citation;
use crate::tables::couplers::{self, Coupler, Family, Side};
use crate::tables::words::Phrase;
use crate::tables::{Provenance, Table};

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Verdict {
    Fits,
    DoesNotFit,
    Undecided,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    contacts: Vec<String>,
    pins: Vec<String>,
    verdict: Verdict,
    #[serde(default)]
    unearthed: bool,
    polarity: Option<Polarity>,
    why: Option<Phrase>,
    from: Provenance,
}

struct Pairs {
    rows: Vec<(Row, Citation)>,
    /// Row of a pair, by the couplers' places.
    by_pair: FxHashMap<(u16, u16), usize>,
}

static PAIRS: LazyLock<Pairs> = LazyLock::new(|| {
    let text = include_str!("../data/mating.yaml");
    let mut table: Table<Row> = Table::embedded("mating", text);
    let rows = std::mem::take(&mut table.rows);
    let mut by_pair = FxHashMap::default();
    for (number, row) in rows.iter().enumerate() {
        for contacts in named(&row.contacts, &row.pins, Side::Contacts) {
            for pins in named(&row.pins, &row.contacts, Side::Pins) {
                by_pair
                    .entry((contacts.index(), pins.index()))
                    .or_insert(number);
            }
        }
    }
    let cite = |row: Row| {
        let citation = table.cite(&row.from);
        (row, citation)
    };
    Pairs {
        rows: rows.into_iter().map(cite).collect(),
        by_pair,
    }
});

/// The couplers of a row's list; `other national` takes in all that neither list names.
///
/// # Panics
/// If a name is not a coupler's, or is that of the other half: a fault of the build, met by the first test that runs.
fn named(names: &[String], opposite: &[String], side: Side) -> Vec<&'static Coupler> {
    if names == ["other national"] {
        return couplers::all()
            .filter(|coupler| coupler.family == Family::National)
            .filter(|coupler| coupler.role.may_be(side) && !opposite.contains(&coupler.name))
            .collect();
    }
    let find = |name: &String| match couplers::find(name) {
        Some(coupler) if coupler.role.may_be(side) => coupler,
        _ => panic!("mating.yaml names {name}, which is no coupler of that half"),
    };
    names.iter().map(find).collect()
}

/// The answer of the table; `None` where no row names the pair.
pub(super) fn listed(contacts: &Coupler, pins: &Coupler) -> Option<Mate> {
    let number = PAIRS.by_pair.get(&(contacts.index(), pins.index()))?;
    let (row, citation) = PAIRS.rows.get(*number)?;
    let or = |usual| row.why.unwrap_or(Phrase::new(usual));
    Some(match row.verdict {
        Verdict::Fits => adjusted(row, fitting(contacts, pins, citation, row.why)),
        Verdict::DoesNotFit => Mate::DoesNotFit {
            why: Why::Row(or("the shapes differ")),
            citation: citation.clone(),
        },
        Verdict::Undecided => Mate::Unknown {
            why: or("the sources disagree"),
            citation: citation.clone(),
        },
    })
}

/// What the row says against what would follow from the couplers.
fn adjusted(row: &Row, mut mate: Mate) -> Mate {
    if let Mate::Fits {
        earth, polarity, ..
    } = &mut mate
    {
        if row.unearthed {
            *earth = EarthMade::No;
        }
        *polarity = row.polarity.unwrap_or(*polarity);
    }
    mate
}
