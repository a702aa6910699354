//! What is said of a run that a short circuit burns.

use crate::analysis::{Analysis, place};
use crate::finding::{Finding, Measure};
use crate::flow::protection::devices_ahead;
use crate::graph::ElementId;
use crate::quantity::Quantity;
use crate::rules::Draft;
use crate::rules::conductors::naming;
use crate::tables::made_sizes;

use super::stress::Stress;
use super::{RULE, basis};

/// How many times thicker a conductor may be that is advised in place of another.
const MOST_TIMES_THICKER: f64 = 4.0;

pub(super) fn burns(analysis: &Analysis<'_>, runs: &[(ElementId, Stress)]) -> Option<Finding> {
    let worst = runs
        .iter()
        .max_by(|(_, a), (_, b)| a.heat.0.total_cmp(&b.heat.0))?;
    let (id, stress) = worst;
    let device =
        devices_ahead(analysis.model, analysis.graph, *id).find(|d| d.at == stress.device)?;
    let ahead = naming::device(analysis, &device);
    let what = naming::run(analysis, *id);
    let (heat, bears, phrase) = (stress.heat.show(), stress.bears.show(), &stress.phrase);
    let headline = match stress.kind {
        "far-end" if !stress.heat.0.is_finite() => format!(
            "a short circuit at the far end of {what} may set it on fire{phrase}: {ahead} need not open at all, and the conductors bear {bears} of heat"
        ),
        "far-end" => format!(
            "a short circuit at the far end of {what} may set it on fire{phrase}: {ahead} opens late, after {heat} of heat, and the conductors bear {bears}"
        ),
        _ => format!(
            "a short circuit may set {what} on fire: {ahead} lets {heat} of heat through, and the conductors bear {bears}"
        ),
    };
    let span = naming::conductor_span(analysis, *id);
    let draft = Draft::new(&RULE, headline, span, format!("bears {bears}"), basis());
    let others = runs.iter().map(|(id, _)| analysis.hop(*id));
    let let_through = device.breaker.let_through.given();
    let let_through = let_through.filter(|_| stress.kind == "let-through");
    let let_through = let_through.map(|given| place(given.span, format!("lets {heat} through")));
    let owner = naming::owner(analysis, *id);
    let owner = owner.map_or_else(|| analysis.full_name(*id), |owner| owner.name.value.clone());
    let draft = draft
        .above(analysis.hops_above(device.at))
        .above([naming::device_place(analysis, &device)])
        .above(let_through)
        .below(others)
        .working(stress.working.iter().cloned())
        .also(stress.basis.iter().cloned())
        .advice(advice(stress))
        .measured(Measure::above(stress.heat, stress.bears))
        .about([analysis.full_name(device.at), owner])
        .suffered_by(runs.iter().map(|(id, _)| analysis.full_name(*id)));
    Some(draft.kind(stress.kind).finish())
}

fn advice(stress: &Stress) -> String {
    let bought =
        made_sizes::like(Some(stress.size)).find(|size| size.area() >= stress.least_section);
    // Much thicker conductors enter no terminal that was made for these.
    let bought = bought.filter(|size| size.area() <= stress.size.area() * MOST_TIMES_THICKER);
    let thicker = bought.map(|size| format!("conductors of at least {}, ", size.show()));
    let thicker = thicker.unwrap_or_default();
    match stress.kind {
        "far-end" => {
            format!("Use {thicker}a shorter run, or a breaker that opens at less current.")
        }
        _ if thicker.is_empty() => "Use a breaker that lets less through.".into(),
        _ => format!("Use {thicker}or a breaker that lets less through."),
    }
}
