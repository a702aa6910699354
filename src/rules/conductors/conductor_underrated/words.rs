//! What is said of conductors that carry too much.

use crate::analysis::{Analysis, Rating, place};
use crate::finding::{Finding, Measure};
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{InUnits, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::{naming, remedy};

use super::{RULE, on_pole};

pub(super) fn underrated(analysis: &Analysis<'_>, id: ElementId, worst: Worst) -> Option<Finding> {
    let Some(Rating::Known {
        current: capacity,
        working,
        basis,
    }) = analysis.conductor_rating(id)
    else {
        return None;
    };
    let told = analysis.state_above(id, worst, capacity);
    let (is, may) = show_pair(told.current, capacity);
    let is = on_pole(analysis, id, &is, told);
    let when = analysis.when(told.lost);
    let headline = format!(
        "{} may overheat and start a fire: it carries {is} {when}, and {may} is the most it may carry here",
        naming::run(analysis, id)
    );
    let note = format!("{} may carry {may} here", conductors(analysis, id));
    let (first, rest) = basis.split_first()?;
    let draft = Draft::new(
        &RULE,
        headline,
        naming::choice_span(analysis, id),
        note,
        first.clone(),
    );
    let advice = remedy::to_carry(analysis, id, worst.current);
    let draft = draft
        .level(naming::level(&basis))
        .above(analysis.hops_above(id))
        .below([naming::conductor_place(analysis, id, "")])
        .below(environment(analysis, id, told))
        .working(working)
        .working(analysis.load_working(id, told))
        .working([format!("{is} > {may}")])
        .measured(Measure::above(worst.current, capacity))
        .working(analysis.worst_line(told, worst))
        .also(rest.iter().cloned())
        .advice(format!(
            "{advice}, or take load off it until it carries {may} at most."
        ))
        .about([analysis.full_name(id)]);
    Some(draft.kind("current").finish())
}

fn conductors(analysis: &Analysis<'_>, id: ElementId) -> String {
    analysis
        .conductors_of(id)
        .map_or_else(|| analysis.describe(id), |own| own.to_string())
}

/// What makes the current and the heat: the air, the devices, what was lost.
fn environment(analysis: &Analysis<'_>, id: ElementId, worst: Worst) -> Vec<crate::finding::Place> {
    let mut places = Vec::new();
    if let Some(air) = analysis
        .ambient(id)
        .filter(|air| air.value.in_degrees_celsius() > 30.0)
    {
        let shown = show_rounded(air.value);
        places.push(place(air.span, format!("air at {shown}")));
    }
    if let ElementKind::Cord(cord) = analysis.graph.kind(id) {
        places.extend(analysis.ends_of(cord));
    }
    if let Some(lost) = worst.lost {
        let note = format!("{} is lost", analysis.describe_loss(lost));
        places.push(place(analysis.name(lost.first()).span, note));
    }
    places
}
