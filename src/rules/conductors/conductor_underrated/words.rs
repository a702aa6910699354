//! What is said of conductors that carry too much.

use crate::finding::{Finding, Measure};
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{InUnits, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::{naming, remedy};
use crate::survey::{Rating, Survey, place};

use super::{RULE, on_pole};

pub(super) fn underrated(survey: &Survey<'_>, id: ElementId, worst: Worst) -> Option<Finding> {
    let Some(Rating::Known {
        current: capacity,
        working,
        basis,
    }) = survey.conductor_rating(id)
    else {
        return None;
    };
    let told = survey.state_above(id, worst, capacity);
    let (is, may) = show_pair(told.current, capacity);
    let is = on_pole(survey, id, &is, told);
    let when = survey.when(told.lost);
    let headline = format!(
        "{} may overheat and start a fire: it carries {is} {when}, and {may} is the most it may carry here",
        naming::run(survey, id)
    );
    let note = format!("{} may carry {may} here", conductors(survey, id));
    let (first, rest) = basis.split_first()?;
    let draft = Draft::new(
        &RULE,
        headline,
        naming::choice_span(survey, id),
        note,
        first.clone(),
    );
    let advice = remedy::to_carry(survey, id, worst.current);
    let draft = draft
        .level(naming::level(&basis))
        .above(survey.hops_above(id))
        .below([naming::conductor_place(survey, id, "")])
        .below(surroundings(survey, id, told))
        .working(working)
        .working(survey.load_working(id, told))
        .working([format!("{is} > {may}")])
        .measured(Measure::above(worst.current, capacity))
        .working(survey.worst_line(told, worst))
        .also(rest.iter().cloned())
        .advice(format!(
            "{advice}, or take load off it until it carries {may} at most."
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
        let note = format!("{} is lost", survey.describe_loss(lost));
        places.push(place(survey.name(lost.first()).span, note));
    }
    places
}
