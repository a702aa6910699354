//! `conductor-underrated`: do the conductors carry the worst current that they meet?

use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::model::cords::Surplus;
use crate::quantity::{Current, InUnits, show_current, show_pair, show_rounded};
use crate::rules::{Draft, rule};
use crate::survey::{Rating, Survey, exceeds, place};
use crate::tables::limits;

use super::gaps::Gaps;
use super::ratings::Ratings;
use super::{remedy, words};

rule!(
    "conductor-underrated",
    Conductors,
    Error,
    "Conductors that carry more than they may where they lie: the insulation softens, and the cord can start a fire."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let (mut gaps, mut ratings) = (Gaps::of(&RULE), Ratings::default());
    for (id, _) in survey.graph.elements() {
        let Some(capacity) = ratings.of(survey, id) else {
            continue;
        };
        let Some(worst) = worst(survey, id) else {
            continue;
        };
        match capacity {
            Some(capacity) if exceeds(worst.current, capacity) => {
                findings.extend(underrated(survey, id, worst));
            }
            Some(capacity) => {
                findings.extend(coiled(survey, id, worst, capacity));
                if let Some(device) = survey.flows.unknown_below(id) {
                    let what = "conductors carry their current on the way to";
                    gaps.miss_load(survey, device, what, basis(), findings);
                }
            }
            None => {
                let rating = survey.conductor_rating(id);
                let rating = rating.unwrap_or(Rating::missing("nothing is known of it"));
                let open = (id, "can carry its current");
                gaps.miss_rating(survey, open, &rating, basis(), findings);
            }
        }
    }
}

/// What a capacity is held against when no table could be asked.
fn basis() -> Citation {
    Citation::common_practice("no conductor may carry more than its capacity where it lies")
}

/// The worst current of any conductor of an element, its neutral and the neutral's harmonics included.
fn worst(survey: &Survey<'_>, id: ElementId) -> Option<Worst> {
    let lines = survey.flows.worst(survey.graph, id)?;
    let neutral = survey.flows.worst_on(survey.graph, id, Pole::N);
    Some(match neutral {
        Some(neutral) if neutral.current > lines.current => neutral,
        _ => lines,
    })
}

/// `8.20 A`, and which pole carries it where there are more than two.
fn on_pole(survey: &Survey<'_>, id: ElementId, current: &str, worst: Worst) -> String {
    if survey.graph.conductors_of(id).len() > 2 {
        format!("{current} on {}", worst.pole.word())
    } else {
        current.to_owned()
    }
}

fn underrated(survey: &Survey<'_>, id: ElementId, worst: Worst) -> Option<Finding> {
    let Some(Rating::Known {
        current: capacity,
        working,
        basis,
    }) = survey.conductor_rating(id)
    else {
        return None;
    };
    let (is, may) = show_pair(worst.current, capacity);
    let is = on_pole(survey, id, &is, worst);
    let when = survey.when(worst.lost);
    let headline = format!(
        "{} overheats: {is} where {may} is the most, {when}",
        words::run(survey, id)
    );
    let note = format!("{} carries {may} here", conductors(survey, id));
    let (first, rest) = basis.split_first()?;
    let draft = Draft::new(
        &RULE,
        headline,
        words::choice_span(survey, id),
        note,
        first.clone(),
    );
    let advice = remedy::to_carry(survey, id, worst.current);
    let draft = draft
        .level(words::level(&basis))
        .above(survey.hops_above(id))
        .below([words::conductor_place(survey, id, "")])
        .below(surroundings(survey, id, worst))
        .working(working)
        .working(survey.load_working(id, worst))
        .working([format!("{is} > {may}")])
        .also(rest.iter().cloned())
        .advice(format!(
            "{advice}, or move load away until {may} is not passed."
        ))
        .about([survey.full_name(id)]);
    Some(draft.kind("current").finish())
}

fn conductors(survey: &Survey<'_>, id: ElementId) -> String {
    survey
        .conductors_of(id)
        .map_or_else(|| survey.describe(id), |own| own.to_string())
}

/// What makes the current and the heat: the air, the devices, what was lost.
fn surroundings(survey: &Survey<'_>, id: ElementId, worst: Worst) -> Vec<crate::finding::Place> {
    let mut places = Vec::new();
    if let Some(air) = survey
        .ambient(id)
        .filter(|air| air.value.in_degrees_celsius() > 30.0)
    {
        let shown = show_rounded(air.value);
        places.push(place(air.span, format!("air at {shown}")));
    }
    if let ElementKind::Cord(cord) = survey.graph.kind(id) {
        places.extend(survey.ends_of(cord));
    }
    if let Some(lost) = worst.lost {
        let note = format!("{} is lost in the worst case", survey.describe(lost));
        places.push(place(survey.name(lost).span, note));
    }
    places
}

/// A coil cools badly: its surplus carries less than the free cord.
fn coiled(survey: &Survey<'_>, id: ElementId, worst: Worst, capacity: Current) -> Option<Finding> {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = survey.graph.kind(id) else {
        return None;
    };
    let surplus = survey.model.cords[cord].surplus.given();
    let surplus = surplus.filter(|surplus| surplus.value == Surplus::Coiled)?;
    let factor = limits::coiled_cord()?;
    let coiled = capacity * factor.value;
    if !exceeds(worst.current, coiled) {
        return None;
    }
    let (is, may) = show_pair(worst.current, coiled);
    let what = survey.describe(id);
    let when = survey.when(worst.lost);
    let headline = format!(
        "the coil of {what} overheats: {is} where {may} is the most for a coiled cord, {when}"
    );
    let draft = Draft::new(
        &RULE,
        headline,
        surplus.span,
        "coiled up",
        factor.citation.clone(),
    );
    let draft = draft
        .level(Level::Warning)
        .above(survey.hops_above(id))
        .below([words::conductor_place(survey, id, "")])
        .below(survey.ends_of(cord))
        .working(survey.load_working(id, worst))
        .working([
            format!(
                "{} × {:.2} (coiled; two layers are assumed) = {}",
                show_rounded(capacity),
                factor.value.in_parts_of_one(),
                show_current(coiled.in_amperes())
            ),
            format!("{is} > {may}"),
        ])
        .advice("Uncoil the surplus and hang or fold it loosely, or order a shorter cord.")
        .about([survey.full_name(id)]);
    Some(draft.kind("coiled").finish())
}
