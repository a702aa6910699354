//! `conductor-below-minimum`: does a cord set have the least conductor for its connector and length, and a
//! circuit the least earth conductor for its breaker?

mod earth;
mod set;
mod words;

use rustc_hash::FxHashSet;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::value::Field;
use crate::quantity::{ConductorSize, Quantity, metres};
use crate::rules::rule;
use crate::rules::sharers::Sharers;
use crate::tables::couplers::{Coupler, Family};
use crate::tables::lookup::Lookup;
use crate::tables::{Practice, minimum_section};

use super::gaps::Gaps;

use set::{Set, sets, unsized_set};
use words::{below, miss, miss_size};

rule!(
    "conductor-below-minimum",
    Conductors,
    Error,
    "A cord set or an earth conductor thinner than its standard allows: on a fault it may burn before anything ahead of it opens."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = analysis.practice() else {
        return;
    };
    let (mut gaps, mut sharers) = (Gaps::of(&RULE), Sharers::of(analysis));
    let mut told = FxHashSet::default();
    let types = analysis.model.cord_types.iter();
    // An adapter has no cord that a table could speak of.
    for (id, kind) in types.filter(|(_, kind)| !kind.is_adapter()) {
        let before = findings.len() + gaps.count();
        if let Some(size) = unsized_set(kind, |connector| is_judged(practice, connector)) {
            miss_size(&mut sharers, (id, kind), size, basis(), &mut gaps);
        }
        for set in sets((id, kind), &kind.length) {
            judge(analysis, practice, &set, &mut sharers, &mut gaps, findings);
        }
        if findings.len() + gaps.count() > before {
            told.insert(id);
        }
    }
    // A cord with a length of its own may lie on the other side of a limit of length than its type.
    for (id, cord) in analysis.model.cords.iter() {
        let Some(kind) = analysis.graph.links.cord_types[id.index()] else {
            continue;
        };
        if cord.length.is_absent() || told.contains(&kind) {
            continue;
        }
        for mut set in sets((kind, &analysis.model.cord_types[kind]), &cord.length) {
            set.about = cord.name.value.clone();
            set.what = format!("cord {}", cord.name.value);
            set.cord = Some(&cord.name.value);
            judge(analysis, practice, &set, &mut sharers, &mut gaps, findings);
        }
    }
    if practice == Practice::Nec {
        earth::check(analysis, &mut gaps, findings);
    }
    findings.extend(gaps.findings());
}

fn judge(
    analysis: &Analysis<'_>,
    practice: Practice,
    set: &Set<'_>,
    sharers: &mut Sharers<'_>,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) {
    if !is_judged(practice, &set.connector.value) {
        return;
    }
    let sheet = set.connector.value.name.as_str();
    let by_connector = minimum_section::for_connector(sheet, set.length, practice);
    if set.length_gap.is_some() && is_too_thin_if_long(practice, set) {
        let why = "its length is missing".to_owned();
        return miss(sharers, set, "length", (why, basis()), gaps);
    }
    let least = match (&by_connector, practice) {
        (Lookup::NotInTable { why, citation }, _) => {
            return miss(sharers, set, "sheet", (why.clone(), citation.clone()), gaps);
        }
        (_, Practice::Iec) => by_connector,
        (_, Practice::Nec) => match by_rating(sharers, set, gaps) {
            Some(by_rating) => larger(by_connector, by_rating),
            None => by_connector,
        },
    };
    if let Some(least) = least.cited()
        && is_below(set.size.value, least.value)
    {
        findings.push(below(analysis, sharers, practice, set, least));
    }
}

/// The table is for sets with connectors of IEC 60320; others are bound by the practice alone.
fn is_judged(practice: Practice, connector: &Coupler) -> bool {
    practice == Practice::Nec || connector.family == Family::Iec60320
}

/// Whether a set may be too thin if it is longer than is known. What a marked rating asks for ends at
/// some length.
fn is_too_thin_if_long(practice: Practice, set: &Set<'_>) -> bool {
    let sheet = set.connector.value.name.as_str();
    let longest = minimum_section::for_connector(sheet, metres(f64::MAX), practice);
    let is_thin = longest
        .value()
        .is_some_and(|least| is_below(set.size.value, *least));
    is_thin || practice == Practice::Nec
}

/// What a size is held against when no table could be asked.
fn basis() -> Citation {
    Citation::common_practice("a cord set has the least conductor that its standard allows")
}

/// What the rating marked on a North American set asks for. Without a mark the least that the sheet may
/// be rated is taken; a set that is too thin even for that is left open, not passed.
fn by_rating(
    sharers: &mut Sharers<'_>,
    set: &Set<'_>,
    gaps: &mut Gaps,
) -> Option<Lookup<ConductorSize>> {
    if let Some(rating) = set.rating.known() {
        let found = minimum_section::for_set_rating(*rating, set.length);
        return found.value().is_some().then_some(found);
    }
    if let Field::Unreadable(_) = set.rating {
        let why = "its marked rating cannot be read".to_owned();
        miss(sharers, set, "rating", (why, basis()), gaps);
        return None;
    }
    let rated = set.connector.value.rated(Practice::Nec);
    let rated = rated
        .current
        .as_ref()
        .or(rated.only_where_marked.as_ref())?;
    let found = minimum_section::for_set_rating(rated.value, set.length);
    let least = found.cited()?;
    if is_below(set.size.value, least.value) {
        let why = format!(
            "its marked rating is missing, and {} is enough only below {}",
            set.size.value,
            rated.value.show()
        );
        miss(sharers, set, "rating", (why, least.citation.clone()), gaps);
    }
    None
}

fn larger(a: Lookup<ConductorSize>, b: Lookup<ConductorSize>) -> Lookup<ConductorSize> {
    match (a.value(), b.value()) {
        (Some(first), Some(second)) if is_below(*first, *second) => b,
        _ => a,
    }
}

/// Whether a size has less copper than another; a hair's breadth of rounding does not count.
fn is_below(size: ConductorSize, least: ConductorSize) -> bool {
    size.area() < least.area() * (1.0 - 1e-4)
}
