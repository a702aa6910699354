//! `fault-withstand`: does the conductor survive a short circuit until the device ahead has opened?

mod stress;

use std::collections::BTreeMap;

use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::flow::fault::Ways;
use crate::flow::protection::devices_ahead;
use crate::graph::ElementId;
use crate::quantity::{Quantity, show_rounded};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, place};

use super::gaps::{Gap, Gaps};
use super::ratings::Ratings;
use super::{remedy, words};
use stress::{Outcome, Stress};

rule!(
    "fault-withstand",
    Conductors,
    Warning,
    "A short circuit that heats the conductor beyond what its insulation bears before the device ahead opens: the cord burns."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let ways = Ways::new(survey.model, survey.graph);
    let (mut gaps, mut ratings) = (Gaps::of(&RULE), Ratings::default());
    // Cords alike behind one device suffer alike: one finding for all of them.
    let mut alike: BTreeMap<(ElementId, Span), Vec<(ElementId, Stress)>> = BTreeMap::new();
    for (id, _) in survey.graph.elements() {
        let Some(Some(capacity)) = ratings.of(survey, id) else {
            continue;
        };
        match stress::of(survey, &ways, id, capacity) {
            Outcome::Bears => {}
            Outcome::Open(gap) => miss(*gap, &mut gaps, findings),
            Outcome::Burns(stress) => {
                let key = (stress.device, words::conductor_span(survey, id));
                alike.entry(key).or_default().push((id, stress));
            }
        }
    }
    for (_, runs) in alike {
        findings.extend(burns(survey, &runs));
    }
}

fn miss(gap: Gap, gaps: &mut Gaps, findings: &mut Vec<Finding>) {
    gaps.miss(gap.about.clone(), gap.kind, findings, |_| gap);
}

/// The rule that the heat let through must not exceed what the conductor bears.
fn basis() -> Citation {
    Citation::new("IEC 60364-4-43", "434.5.2", "2008", Confidence::TwoCopies)
}

fn burns(survey: &Survey<'_>, runs: &[(ElementId, Stress)]) -> Option<Finding> {
    let worst = runs
        .iter()
        .max_by(|(_, a), (_, b)| a.heat.0.total_cmp(&b.heat.0))?;
    let (id, stress) = worst;
    let device = devices_ahead(survey.model, survey.graph, *id).find(|d| d.at == stress.device)?;
    let ahead = words::device(survey, &device);
    let what = words::run(survey, *id);
    let (heat, bears) = (stress.heat.show(), stress.bears.show());
    let headline = match stress.kind {
        "far-end" => format!(
            "a short circuit at the far end of {what} may burn it before {ahead} opens: {heat} where it bears {bears}"
        ),
        _ => format!(
            "a short circuit burns {what}: {ahead} lets {heat} through, and the conductor bears {bears}"
        ),
    };
    let span = words::conductor_span(survey, *id);
    let draft = Draft::new(&RULE, headline, span, format!("bears {bears}"), basis());
    let others = runs
        .iter()
        .map(|(id, _)| place(survey.name(*id).span, survey.describe(*id)));
    let let_through = device.breaker.let_through.given();
    let let_through = let_through.filter(|_| stress.kind == "let-through");
    let let_through = let_through.map(|given| place(given.span, format!("lets {heat} through")));
    let owner = words::owner(survey, *id);
    let owner = owner.map_or_else(|| survey.full_name(*id), |owner| owner.name.value.clone());
    let draft = draft
        .above(survey.hops_above(device.at))
        .above([words::device_place(survey, &device)])
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
