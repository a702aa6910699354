//! What is missing to judge whether a breaker breaks what flows.

use crate::analysis::Analysis;
use crate::flow::protection::Device;
use crate::graph::ElementId;
use crate::model::circuits::Supply;
use crate::model::value::Named;
use crate::quantity::{Current, InUnits, Quantity, show_rounded};
use crate::rules::conductors::gaps::{Gap, Gaps, conductors_gap};
use crate::rules::conductors::naming;
use crate::rules::conductors::source_lack::{Asks, fact_of_state, landlords_at, source_lack};

use super::basis;
use super::worst::Flow;

pub(super) fn miss_source(analysis: &Analysis<'_>, id: ElementId, gaps: &mut Gaps) {
    let Some(lack) = source_lack(analysis, id, Asks::Largest) else {
        return;
    };
    // A landlord answers for his own breaker.
    if landlords_at(analysis, id).is_some() {
        return;
    }
    gaps.miss(lack.about.clone(), "fault-current", |about| Gap {
        headline: format!(
            "can the breakers behind {} break a short circuit without bursting? Missing: {}",
            lack.owner, lack.what
        ),
        about,
        kind: "fault-current",
        span: lack.span,
        missing: lack.note.into_owned(),
        basis: basis(analysis),
        advice: lack.advice.into_owned(),
        wants: lack.wants,
    });
}

pub(super) fn miss_capacity(
    analysis: &Analysis<'_>,
    device: &Device<'_>,
    fault: Current,
    gaps: &mut Gaps,
) {
    let about = naming::device_model(analysis, device.at);
    let told = gaps.miss(about, "breaking-capacity", |about| Gap {
        headline: format!(
            "can the breaker of {} break a short circuit of {} without bursting? Missing: its breaking capacity (printed on it)",
            naming::describe_device_model(analysis, device.at),
            kiloamperes(fault)
        ),
        about,
        kind: "breaking-capacity",
        span: analysis.place_of(device.at),
        missing: "the breaking capacity is missing".into(),
        basis: basis(analysis),
        advice: "Read it off the breaker: the number in a box, in amperes, such as 6000, or in North America the interrupting rating, such as 10 kA; or look into its data sheet. Write it as `breaking-capacity`.".into(),
        wants: vec![analysis.breaker_fact(
            device.at,
            "breaking-capacity",
            Some(&device.breaker.breaking_capacity),
        )],
    });
    told.suffered_by(naming::sharer(analysis, device.at));
}

/// Size or length of conductors ahead is missing, and decides.
pub(super) fn miss_way(
    analysis: &Analysis<'_>,
    device: &Device<'_>,
    at: ElementId,
    (fault, capacity): (Current, Current),
    gaps: &mut Gaps,
) {
    let (breaks, flows) = (capacity.show(), kiloamperes(fault));
    let breaker = naming::device(analysis, device);
    let gap = conductors_gap(analysis, at, basis(analysis), |what| {
        format!(
            "can {breaker} break a short circuit without bursting? It breaks {breaks}, and up to {flows} can flow there. Missing: size or length of the conductors of {what}, which hold the current down"
        )
    });
    let told = gaps.miss(gap.about.clone(), gap.kind, |_| gap);
    told.suffered_by([analysis.full_name(device.at)]);
}

/// Whether the voltage may make more of the figure cannot be read, and decides.
pub(super) fn miss_origin(
    analysis: &Analysis<'_>,
    device: &Device<'_>,
    flow: &Flow<'_>,
    gaps: &mut Gaps,
) {
    let Some((supply, figures)) = supply_of(analysis, device).zip(flow.state.fault_current.known())
    else {
        return;
    };
    let fact = fact_of_state(supply, &flow.state, "fault-current.of", &figures.of);
    let breaker = naming::device(analysis, device);
    let (flows, most) = (kiloamperes(flow.current), kiloamperes(flow.most()));
    let phrase = flow.state.phrase();
    let told = gaps.miss(supply.name.value.clone(), "origin", |about| Gap {
        headline: format!(
            "can {breaker} break a short circuit without bursting? {flows} flow there{phrase}, and {most} at the highest voltage if that was computed at the nominal one. Open: `of` cannot be read"
        ),
        about,
        kind: "origin",
        span: fact.span,
        missing: "`of` cannot be read".to_owned(),
        basis: basis(analysis),
        advice: "Write where the figure is from: `declared`, `computed` or `measured`.".to_owned(),
        wants: vec![fact],
    });
    told.suffered_by([analysis.full_name(device.at)]);
}

/// What a generator drives to earth is missing, and may decide.
pub(super) fn miss_earth(
    analysis: &Analysis<'_>,
    device: &Device<'_>,
    flow: &Flow<'_>,
    gaps: &mut Gaps,
) {
    let Some((supply, figures)) = supply_of(analysis, device).zip(flow.state.fault_current.known())
    else {
        return;
    };
    let words = analysis.words();
    let (earth, an_earth) = (words.earth, words.an_earth);
    let fact = fact_of_state(supply, &flow.state, "fault-current.earth", &figures.earth);
    let breaker = naming::device(analysis, device);
    let (name, flows) = (&supply.name.value, kiloamperes(flow.current));
    let told = gaps.miss(name.clone(), "earth-fault", |about| Gap {
        headline: format!(
            "can {breaker} break {an_earth} fault behind the generator of supply {name} without bursting? It may draw more than the {flows} between the lines. Missing: how much"
        ),
        about,
        kind: "earth-fault",
        span: fact.span,
        missing: format!("the largest {earth}-fault current is wanted"),
        basis: basis(analysis),
        advice: format!(
            "A generator whose star point is {earth}ed drives less than three times as much to {earth} as between its lines. Take the figure for a fault from line to {earth} off its data sheet or the study, and write it as `earth`."
        ),
        wants: vec![fact],
    });
    told.suffered_by([analysis.full_name(device.at)]);
}

fn supply_of<'a>(analysis: &Analysis<'a>, device: &Device<'_>) -> Option<&'a Named<Supply>> {
    let supply = analysis.graph.supply_of(device.at)?;
    Some(&analysis.model.supplies[supply])
}

fn kiloamperes(current: Current) -> String {
    if current.in_amperes().is_finite() {
        show_rounded(current)
    } else {
        "any size".to_owned()
    }
}
