//! `conductor-below-minimum`: does a cord set have the least conductor for its connector and length?

use smol_str::SmolStr;

use crate::citation::{Citation, Cited};
use crate::finding::Finding;
use crate::model::cords::{CordLeg, CordType};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Named, Spanned};
use crate::quantity::{ConductorSize, Current, Length, Quantity, metres, show_rounded};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, field_or_name, place};
use crate::tables::couplers::Family;
use crate::tables::lookup::Lookup;
use crate::tables::{Practice, minimum_section};

use super::gaps::{Gap, Gaps};
use super::{remedy, words};

rule!(
    "conductor-below-minimum",
    Conductors,
    Error,
    "A cord set thinner than its standard allows: on a fault it may burn before anything ahead of it opens."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = survey.practice() else {
        return;
    };
    let mut gaps = Gaps::of(&RULE);
    for (_, kind) in survey.model.cord_types.iter() {
        for set in sets(kind, kind.length.given()) {
            judge(practice, &set, &mut gaps, findings);
        }
    }
    // A cord with a length of its own may lie on the other side of a limit of length than its type.
    for (id, cord) in survey.model.cords.iter() {
        let (Some(length), Some(kind)) = (
            cord.length.given(),
            survey.graph.links.cord_types[id.index()],
        ) else {
            continue;
        };
        for mut set in sets(&survey.model.cord_types[kind], Some(length)) {
            set.about = cord.name.value.clone();
            set.what = format!("cord {}", cord.name.value);
            judge(practice, &set, &mut gaps, findings);
        }
    }
}

/// One end of a cord set: what the least conductor depends on.
struct Set<'a> {
    about: SmolStr,
    what: String,
    kind: &'a Named<CordType>,
    connector: &'a Spanned<CouplerRef>,
    size: &'a Spanned<ConductorSize>,
    length: Length,
    length_at: &'a Spanned<Length>,
    rating: &'a Field<Current>,
}

/// A plain set, or one for each leg of a splitter, whose length is that of trunk and leg together.
fn sets<'a>(
    kind: &'a Named<CordType>,
    length: Option<&'a Spanned<Length>>,
) -> impl Iterator<Item = Set<'a>> {
    let plain = (&kind.connector, &kind.conductor, None);
    let legs = kind.legs.items().iter().map(|leg| {
        let own: &CordLeg = &leg.item;
        let size = if own.conductor.is_absent() {
            &kind.conductor
        } else {
            &own.conductor
        };
        (&own.connector, size, Some(leg))
    });
    std::iter::once(plain)
        .chain(legs)
        .filter_map(move |(connector, size, leg)| {
            let (trunk, name) = (length?, &kind.name.value);
            let further = leg.and_then(|leg| leg.length.copied());
            let rating = leg.map(|leg| &leg.rating).filter(|own| !own.is_absent());
            Some(Set {
                about: leg.map_or_else(
                    || name.clone(),
                    |leg| SmolStr::from(format!("{name}/{}", leg.name.value)),
                ),
                what: leg.map_or_else(
                    || format!("cord type {name}"),
                    |leg| format!("leg {} of cord type {name}", leg.name.value),
                ),
                kind,
                connector: connector.given()?,
                size: size.given()?,
                length: further.map_or(trunk.value, |further| trunk.value + further),
                length_at: trunk,
                rating: rating.unwrap_or(&kind.rating),
            })
        })
}

fn judge(practice: Practice, set: &Set<'_>, gaps: &mut Gaps, findings: &mut Vec<Finding>) {
    // The table is for sets with connectors of IEC 60320; others are bound by the practice alone.
    let is_appliance = set.connector.value.family == Family::Iec60320;
    if practice == Practice::Iec && !is_appliance {
        return;
    }
    let sheet = set.connector.value.name.as_str();
    let by_connector = minimum_section::for_connector(sheet, set.length, practice);
    let least = match (&by_connector, practice) {
        (Lookup::NotInTable { why, citation }, _) => {
            return miss(set, "sheet", why.clone(), citation.clone(), gaps, findings);
        }
        (_, Practice::Iec) => by_connector,
        (_, Practice::Nec) => match by_rating(set, gaps, findings) {
            Some(by_rating) => larger(by_connector, by_rating),
            None => by_connector,
        },
    };
    if let Some(least) = least.cited()
        && is_below(set.size.value, least.value)
    {
        findings.push(below(practice, set, least));
    }
}

/// What the rating marked on a North American set asks for. Without a mark the least that the sheet may
/// be rated is taken; a set that is too thin even for that is left open, not passed.
fn by_rating(
    set: &Set<'_>,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) -> Option<Lookup<ConductorSize>> {
    if let Some(rating) = set.rating.get() {
        let found = minimum_section::for_set_rating(*rating, set.length);
        return found.value().is_some().then_some(found);
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
        miss(set, "rating", why, least.citation.clone(), gaps, findings);
    }
    None
}

fn miss(
    set: &Set<'_>,
    kind: &'static str,
    why: String,
    basis: Citation,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) {
    gaps.miss(set.kind.name.value.clone(), kind, findings, |about| Gap {
        headline: format!(
            "whether {} of {} is thick enough cannot be said: {why}",
            set.size.value, set.what
        ),
        about,
        kind,
        span: match kind {
            "rating" => field_or_name(set.rating, &set.kind.name),
            _ => set.connector.span,
        },
        missing: why,
        basis,
        advice: match kind {
            "rating" => "Read the rated current off the cord set and write it under rating.".into(),
            _ => "Ask the maker for the standard that the set is made to.".to_owned(),
        },
    });
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

fn below(practice: Practice, set: &Set<'_>, least: &Cited<ConductorSize>) -> Finding {
    let (size, sheet) = (set.size.value, set.connector.value.name.as_str());
    let length = set.length.show();
    let headline = format!(
        "{} is too thin: {size} where a {sheet} set of {length} needs {}",
        set.what, least.value
    );
    let mut places = vec![
        place(set.connector.span, format!("{sheet} connector")),
        place(
            set.length_at.span,
            format!("{length} from plug to connector"),
        ),
    ];
    if practice == Practice::Nec
        && let Some(rating) = set.rating.given()
    {
        places.push(place(
            rating.span,
            format!("marked {}", rating.value.show()),
        ));
    }
    let bought = remedy::sizes(Some(size)).find(|other| !is_below(*other, least.value));
    let bought = bought.unwrap_or(least.value);
    let shorter = minimum_section::for_connector(sheet, metres(2.0), practice);
    let is_relaxed = shorter
        .value()
        .is_some_and(|shorter| !is_below(size, *shorter));
    let advice = if practice == Practice::Iec && is_relaxed {
        format!("Order the set with {bought}, or no longer than 2 m.")
    } else {
        format!("Order the set with {bought}.")
    };
    let draft = Draft::new(
        &RULE,
        headline,
        set.size.span,
        format!("{size}, at least {} is needed", least.value),
        least.citation.clone(),
    );
    draft
        .level(words::level(std::slice::from_ref(&least.citation)))
        .below(places)
        .working([comparison(size, least.value)])
        .advice(advice)
        .about([set.about.clone()])
        .finish()
}

/// `0.75 mm² < 1 mm²`, in square millimetres where the systems differ: `18 AWG = 0.823 mm² < 1 mm²`.
fn comparison(size: ConductorSize, least: ConductorSize) -> String {
    let area = |size: ConductorSize| match size {
        ConductorSize::Metric(_) => size.show(),
        ConductorSize::Awg(_) => format!("{size} = {}", show_rounded(size.area())),
    };
    format!("{} < {}", area(size), area(least))
}
