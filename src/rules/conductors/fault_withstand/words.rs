//! What is said of a run that a short circuit burns.

use crate::finding::Finding;
use crate::flow::protection::devices_ahead;
use crate::graph::ElementId;
use crate::quantity::{Quantity, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::{naming, remedy};
use crate::survey::{Survey, place};

use super::stress::Stress;
use super::{RULE, basis};

pub(super) fn burns(survey: &Survey<'_>, runs: &[(ElementId, Stress)]) -> Option<Finding> {
    let worst = runs
        .iter()
        .max_by(|(_, a), (_, b)| a.heat.0.total_cmp(&b.heat.0))?;
    let (id, stress) = worst;
    let device = devices_ahead(survey.model, survey.graph, *id).find(|d| d.at == stress.device)?;
    let ahead = naming::device(survey, &device);
    let what = naming::run(survey, *id);
    let (heat, bears) = (stress.heat.show(), stress.bears.show());
    let headline = match stress.kind {
        "far-end" => format!(
            "a short circuit at the far end of {what} may burn it before {ahead} opens: {heat} where it bears {bears}"
        ),
        _ => format!(
            "a short circuit burns {what}: {ahead} lets {heat} through, and the conductor bears {bears}"
        ),
    };
    let span = naming::conductor_span(survey, *id);
    let draft = Draft::new(&RULE, headline, span, format!("bears {bears}"), basis());
    let others = runs
        .iter()
        .map(|(id, _)| place(survey.name(*id).span, survey.describe(*id)));
    let let_through = device.breaker.let_through.given();
    let let_through = let_through.filter(|_| stress.kind == "let-through");
    let let_through = let_through.map(|given| place(given.span, format!("lets {heat} through")));
    let owner = naming::owner(survey, *id);
    let owner = owner.map_or_else(|| survey.full_name(*id), |owner| owner.name.value.clone());
    let draft = draft
        .above(survey.hops_above(device.at))
        .above([naming::device_place(survey, &device)])
        .above(let_through)
        .below(others)
        .working(stress.working.iter().cloned())
        .also(stress.basis.iter().cloned())
        .advice(advice(stress))
        .about([survey.full_name(device.at), owner]);
    Some(draft.kind(stress.kind).finish())
}

fn advice(stress: &Stress) -> String {
    let bought = remedy::sizes(Some(stress.size)).find(|size| size.area() >= stress.least_section);
    let section = match bought {
        Some(size) => size.show(),
        None => show_rounded(stress.least_section),
    };
    match stress.kind {
        "far-end" => format!(
            "Use conductors of at least {section}, a shorter run, or a device that opens at less current."
        ),
        _ => format!("Use conductors of at least {section}, or a device that lets less through."),
    }
}
