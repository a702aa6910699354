//! `slow-disconnection`: does an earth fault at the far end of a cord open a device before it kills?

mod verdict;

use std::collections::BTreeMap;

use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::flow::fault::Ways;
use crate::flow::protection::devices_ahead;
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::ProtectiveClass;
use crate::quantity::show_rounded;
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};
use crate::tables::couplers::Earth;

use super::gaps::Gaps;
use super::words;
use verdict::{Slow, Verdict};

rule!(
    "slow-disconnection",
    Conductors,
    Warning,
    "An earth fault that opens nothing in time: the casing stays live, and whoever touches it may be killed."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let ways = Ways::new(survey.model, survey.graph);
    let mut gaps = Gaps::of(&RULE);
    // One finding for each device: what is behind it shares most of the way.
    let mut slow: BTreeMap<ElementId, Vec<(ElementId, Slow)>> = BTreeMap::new();
    for (id, _) in survey.graph.elements() {
        if !is_touched(survey, id) {
            continue;
        }
        match verdict::of(survey, &ways, id) {
            Verdict::Opens => {}
            Verdict::Open(gap) => gaps.miss(gap.about.clone(), gap.kind, findings, |_| *gap),
            Verdict::Slow(found) => slow.entry(found.device).or_default().push((id, found)),
        }
    }
    for (_, mut ends) in slow {
        ends.sort_by(|(_, a), (_, b)| a.current.value.total_cmp(&b.current.value));
        findings.extend(too_slow(survey, &ends));
    }
}

/// Whether an element ends at a casing that a person touches and that relies on the earth.
fn is_touched(survey: &Survey<'_>, id: ElementId) -> bool {
    match survey.graph.kind(id) {
        ElementKind::Pdu(_) => true,
        ElementKind::Cord(cord) => survey
            .graph
            .cord_type(survey.model, cord)
            .is_some_and(|kind| kind.legs.is_empty() && is_earthed(survey, id)),
        ElementKind::Leg(..) => is_earthed(survey, id),
        _ => false,
    }
}

fn is_earthed(survey: &Survey<'_>, id: ElementId) -> bool {
    let inlet = survey
        .graph
        .receiver(id)
        .and_then(|receiver| match receiver {
            crate::graph::Receiver::Inlet(number) => survey.inlet(*number),
            _ => None,
        });
    let Some((device, inlet)) = inlet else {
        return true;
    };
    let class = survey.graph.device_model(survey.model, device);
    let class = class.and_then(|model| model.class.copied());
    let has_contact = inlet
        .coupler
        .get()
        .is_none_or(|inlet| inlet.earth != Earth::None);
    class.is_none_or(|class| class == ProtectiveClass::I) && has_contact
}

fn too_slow(survey: &Survey<'_>, ends: &[(ElementId, Slow)]) -> Option<Finding> {
    let (id, worst) = ends.first()?;
    let device = devices_ahead(survey.model, survey.graph, *id).find(|d| d.at == worst.device)?;
    let ahead = words::device(survey, &device);
    let end = words::run(survey, *id);
    let headline = format!(
        "an earth fault at the far end of {end} leaves the casing there live: {} do not open {ahead} {}",
        show_rounded(worst.current),
        worst.wanted
    );
    let note = format!("{ahead}: needs {}", show_rounded(worst.needed));
    let span = survey.place_of(device.at);
    let draft = Draft::new(&RULE, headline, span, note, worst.basis.clone());
    let others = ends.iter().map(|(id, slow)| {
        let note = format!(
            "{}: {}",
            words::run(survey, *id),
            show_rounded(slow.current)
        );
        place(survey.name(*id).span, note)
    });
    let circuit = survey.graph.circuit_of(*id);
    let rcd = circuit.map(|circuit| &survey.model.circuits[circuit]);
    let rcd = rcd.map_or_else(String::new, |circuit| {
        format!(
            "Give circuit {} a residual current device of 30 mA, or ",
            circuit.name.value
        )
    });
    let draft = draft
        .above(survey.hops_above(device.at))
        .below(others)
        .working(worst.working.iter().cloned())
        .also(verdict::voltage_factor_basis())
        .also([conductors_basis()])
        .advice(format!(
            "{rcd}bring the loop down to {} with thicker or shorter conductors, or take a device that opens at less.",
            show_rounded(worst.largest_loop)
        ))
        .about([survey.full_name(device.at), survey.full_name(*id)]);
    Some(draft.finish())
}

/// Where the hot resistances come from.
fn conductors_basis() -> Citation {
    Citation::new(
        "IEC 60228",
        "Tables 1 to 3, at operating temperature",
        "2004",
        Confidence::TwoCopies,
    )
}
