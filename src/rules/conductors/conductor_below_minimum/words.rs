//! What is said of a cord set that is too thin.

use crate::analysis::{Analysis, TypeOrModel, field_or_name, place};
use crate::citation::{Citation, Cited};
use crate::finding::{Fact, Finding, Measure};
use crate::model::cords::CordType;
use crate::model::value::{Id, Named};
use crate::quantity::{ConductorSize, Quantity, metres, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps};
use crate::rules::conductors::naming;
use crate::rules::sharers::Sharers;
use crate::tables::{Practice, made_sizes, minimum_section};

use super::set::Set;
use super::{RULE, is_below};

pub(super) fn miss(
    sharers: &mut Sharers<'_>,
    set: &Set<'_>,
    kind: &'static str,
    (why, basis): (String, Citation),
    gaps: &mut Gaps,
) {
    let told = gaps.miss(set.kind.name.value.clone(), kind, |about| Gap {
        headline: format!(
            "are the {} conductors of {} thick enough? Open: {why}",
            set.size.value, set.what
        ),
        about,
        kind,
        span: match kind {
            "rating" => field_or_name(set.rating, &set.kind.name),
            "length" => set
                .length_gap
                .as_ref()
                .map_or(set.length_at, |fact| fact.span),
            _ => set.connector.span,
        },
        missing: why,
        basis,
        advice: match kind {
            "rating" => {
                "Read the rated current off the cord set and write it as its `rating`.".into()
            }
            "length" => "Measure the set from plug to connector, and write its `length`.".into(),
            _ => "Ask the maker for the standard that the set is made to.".to_owned(),
        },
        wants: wants(set, kind),
    });
    told.suffered_by(set.cords(sharers));
}

fn wants(set: &Set<'_>, kind: &str) -> Vec<Fact> {
    match kind {
        "rating" => vec![Fact::of(set.kind, "rating", Some(set.rating))],
        "length" => set.length_gap.clone().into_iter().collect(),
        _ => Vec::new(),
    }
}

/// The size of a type is missing.
pub(super) fn miss_size(
    sharers: &mut Sharers<'_>,
    (id, kind): (Id<CordType>, &Named<CordType>),
    size: Fact,
    basis: Citation,
    gaps: &mut Gaps,
) {
    let told = gaps.miss(kind.name.value.clone(), "size", |about| Gap {
        headline: format!(
            "are the conductors of cord type {about} thick enough? Missing: their size (on the jacket)"
        ),
        about,
        kind: "size",
        span: size.span,
        missing: "the conductor size is missing".into(),
        basis,
        advice: "Read the size off the jacket and write it as the `conductor`.".into(),
        wants: vec![size],
    });
    told.suffered_by(sharers.names(TypeOrModel::CordType(id)));
}

pub(super) fn below(
    analysis: &Analysis<'_>,
    sharers: &mut Sharers<'_>,
    practice: Practice,
    set: &Set<'_>,
    least: &Cited<ConductorSize>,
) -> Finding {
    let (size, sheet) = (set.size.value, set.connector.value.name.as_str());
    let length = analysis.on_tape(set.length);
    let headline = format!(
        "{} is too thin and may burn on a fault before any breaker opens: {size}, where a {sheet} cord set of {length} needs {}",
        set.what, least.value
    );
    let mut places = vec![
        place(set.connector.span, format!("{sheet} connector")),
        place(set.length_at, format!("{length} from plug to connector")),
    ];
    if practice == Practice::Nec
        && let Some(rating) = set.rating.given()
    {
        places.push(place(
            rating.span,
            format!("marked {}", rating.value.show()),
        ));
    }
    let bought = made_sizes::like(Some(size)).find(|other| !is_below(*other, least.value));
    let bought = bought.unwrap_or(least.value);
    let shorter = minimum_section::for_connector(sheet, metres(2.0), practice);
    let is_relaxed = shorter
        .value()
        .is_some_and(|shorter| !is_below(size, *shorter));
    let advice = if practice == Practice::Iec && is_relaxed {
        format!(
            "Order cord sets with {bought} conductors, thicker where their load asks for it, or no longer than 2 m."
        )
    } else {
        format!("Order cord sets with {bought} conductors, thicker where their load asks for it.")
    };
    // A cord with a length of its own is itself what is too thin.
    let cords = match set.cord {
        Some(_) => Vec::new(),
        None => set.cords(sharers),
    };
    let draft = Draft::new(
        &RULE,
        headline,
        set.size.span,
        format!("{size}, at least {} is needed", least.value),
        least.citation.clone(),
    );
    draft
        .level(naming::level(std::slice::from_ref(&least.citation)))
        .below(places)
        .working([comparison(size, least.value)])
        .measured(Measure::below(size, least.value))
        .advice(advice)
        .about([set.about.clone()])
        .suffered_by(cords)
        .finish()
}

/// `0.75 mm² < 1 mm²`, in square millimetres where the systems differ: `18 AWG = 0.823 mm² < 1 mm²`.
pub(super) fn comparison(size: ConductorSize, least: ConductorSize) -> String {
    let area = |size: ConductorSize| match size {
        ConductorSize::Metric(_) => size.show(),
        ConductorSize::Awg(_) => format!("{size} = {}", show_rounded(size.area())),
    };
    format!("{} < {}", area(size), area(least))
}
