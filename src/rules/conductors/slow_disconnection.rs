//! `slow-disconnection`: does an earth fault at the far end of a cord open a device before it kills?

mod electrode;
mod first_fault;
mod goes_down;
mod loops;
mod missing;
mod overcurrent;
mod verdict;
mod words;

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::circuits::{Earthing, Supply};
use crate::model::devices::{Device, Inlet, ProtectiveClass};
use crate::model::sources::State;
use crate::model::value::{Id, Name, Named};
use crate::rules::rule;
use crate::tables::couplers::Earth;

use super::gaps::{Gap, Gaps};

use electrode::Electrodes;
use first_fault::{FirstFaults, is_watched};
use goes_down::GoesDown;
use verdict::{Slow, Verdict};
use words::too_slow;

rule!(
    "slow-disconnection",
    Conductors,
    Warning,
    "An earth (ground) fault that opens nothing in time: the case stays live, and whoever touches it may be killed."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut told = Found::default();
    let mut gaps = Gaps::of(&RULE);
    // One finding for each device: what is behind it shares most of the way.
    let mut slow: BTreeMap<ElementId, Vec<(ElementId, Slow)>> = BTreeMap::new();
    for (id, _) in analysis.graph.elements() {
        if !is_touched(analysis, id) {
            continue;
        }
        let Some(supply) = analysis.graph.supply_of(id) else {
            miss_class(analysis, id, &mut gaps);
            continue;
        };
        if let Some(found) = judge(analysis, (id, supply), &mut told, &mut gaps) {
            slow.entry(found.device).or_default().push((id, found));
        }
    }
    for (_, mut ends) in slow {
        ends.sort_by(|(_, a), (_, b)| a.current.value.total_cmp(&b.current.value));
        findings.extend(too_slow(analysis, &ends));
    }
    findings.extend(told.first_faults.findings());
    findings.extend(told.electrodes.findings());
    findings.extend(told.goes_down.findings());
    findings.extend(gaps.findings());
}

/// What is told once, whoever meets it.
#[derive(Default)]
struct Found {
    first_faults: FirstFaults,
    electrodes: Electrodes,
    goes_down: GoesDown,
}

/// What becomes of an earth fault at an end, in every state of its supply: the slowest where nothing opens in time.
fn judge(
    analysis: &Analysis<'_>,
    (id, supply): (ElementId, Id<Supply>),
    told: &mut Found,
    gaps: &mut Gaps,
) -> Option<Slow> {
    let fault_loops = &analysis.flows.fault_loops;
    let named = &analysis.model.supplies[supply];
    let mut worst: Option<Slow> = None;
    for state in named.states() {
        let verdict = verdict::of(analysis, fault_loops, (id, named, state));
        if matches!(verdict, Verdict::Opens) && is_opening_enough(named, &state) {
            continue;
        }
        if miss_class(analysis, id, gaps) {
            return None;
        }
        told.first_faults.meet(analysis, (id, supply), &state, gaps);
        if told.electrodes.meet(analysis, (id, named), &state, gaps) {
            continue;
        }
        match verdict {
            Verdict::Opens => {}
            Verdict::GoesDown(slow, basis) => {
                told.goes_down
                    .meet(analysis, (id, supply), &state, (slow, basis));
            }
            Verdict::Open(gap, sufferer) => {
                let told = gaps.miss(gap.about.clone(), gap.kind, |_| *gap);
                told.suffered_by(sufferer);
            }
            Verdict::Slow(slow) => {
                worst = Some(match worst {
                    Some(worst) if worst.share() <= slow.share() => worst,
                    _ => slow,
                });
            }
        }
    }
    worst
}

/// Whether nobody is in danger where something opens in time. In a TT system the electrode decides as well, and in
/// an IT system somebody must be told of the first fault.
fn is_opening_enough(supply: &Supply, state: &State<'_>) -> bool {
    match state.earthed() {
        Some(Earthing::TnS | Earthing::TnCS) => true,
        Some(Earthing::It) => is_watched(supply),
        Some(Earthing::Tt) | None => false,
    }
}

/// Whether an element ends at a casing that a person touches and that relies on the earth.
fn is_touched(analysis: &Analysis<'_>, id: ElementId) -> bool {
    match analysis.graph.kind(id) {
        ElementKind::Pdu(_) => true,
        ElementKind::Cord(cord) => analysis
            .graph
            .cord_type(analysis.model, cord)
            .is_some_and(|kind| kind.legs.is_empty() && is_earthed(analysis, id)),
        ElementKind::Leg(..) => is_earthed(analysis, id),
        _ => false,
    }
}

fn inlet_at<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<(Id<Device>, &'a Named<Inlet>)> {
    match analysis.graph.receiver(id)? {
        Receiver::Inlet(number) => analysis.inlet(*number),
        Receiver::Pdu(_) | Receiver::Cord(_) | Receiver::Unknown => None,
    }
}

/// Asks for the class of the equipment at an element where it cannot be read; whether it was asked for.
fn miss_class(analysis: &Analysis<'_>, id: ElementId, gaps: &mut Gaps) -> bool {
    let Some((gap, sufferer)) = unread_class(analysis, id) else {
        return false;
    };
    let told = gaps.miss(gap.about.clone(), gap.kind, |_| *gap);
    told.suffered_by(sufferer);
    true
}

/// The class of the equipment at an element, where it cannot be read: whether it relies on the earth at all.
fn unread_class(analysis: &Analysis<'_>, id: ElementId) -> Option<(Box<Gap>, Option<Name>)> {
    let (device, _) = inlet_at(analysis, id)?;
    let model = analysis.graph.links.device_models[device.index()]?;
    let model = &analysis.model.device_models[model];
    let fact = Fact::if_unreadable(model, "class", &model.class)?;
    let (name, an_earth) = (&model.name.value, analysis.words().an_earth);
    let gap = Gap {
        about: name.clone(),
        kind: "class",
        span: fact.span,
        headline: format!(
            "does {an_earth} fault in equipment {name} endanger anybody? Open: its class cannot be read"
        ),
        missing: "`class` cannot be read".to_owned(),
        basis: missing::table("411.3.2"),
        advice: "Read the class off the nameplate, and write it like `class: I`.".to_owned(),
        wants: vec![fact],
    };
    let sufferer = analysis.model.devices[device].name.value.clone();
    Some((Box::new(gap), Some(sufferer)))
}

fn is_earthed(analysis: &Analysis<'_>, id: ElementId) -> bool {
    let Some((device, inlet)) = inlet_at(analysis, id) else {
        return true;
    };
    let class = analysis.graph.device_model(analysis.model, device);
    let class = class.and_then(|model| model.class.known().copied());
    let has_contact = inlet
        .coupler
        .known()
        .is_none_or(|inlet| inlet.earth != Earth::None);
    class.is_none_or(|class| class == ProtectiveClass::I) && has_contact
}
