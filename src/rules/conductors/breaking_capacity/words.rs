//! What is said of a breaker that cannot break, and of what is missing to judge it.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Measure};
use crate::flow::fault::{FaultLoops, Source};
use crate::flow::protection::Device;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, InUnits, Quantity, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps, conductors_gap};
use crate::rules::conductors::naming;
use crate::rules::conductors::source_lack::{landlords_at, source_lack};

use super::{RULE, basis};

pub(super) fn too_weak(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    device: &Device<'_>,
    capacity: Current,
    fault: Current,
) -> Finding {
    let (is, may) = show_pair(fault, capacity);
    let what = naming::device(analysis, device);
    let headline = format!(
        "{what} may burst on a short circuit and burn whoever stands before it: {is} can flow there, and it breaks {may} at most"
    );
    let field = &device.breaker.breaking_capacity;
    let span = field.span().unwrap_or(analysis.place_of(device.at));
    let draft = Draft::new(
        &RULE,
        headline,
        span,
        format!("breaks {may}"),
        basis(analysis),
    );
    let mut above = analysis.hops_above(device.at);
    let supply = analysis.graph.supply_of(device.at);
    let supply = supply.map(|supply| &analysis.model.supplies[supply]);
    if let Some(given) = supply.and_then(|supply| supply.fault_current.given()) {
        let note = format!("{} prospective fault current", given.value.show());
        above.insert(1.min(above.len()), place(given.span, note));
    }
    let circuit = analysis.graph.circuit_of(device.at);
    let landlords = circuit.and_then(|circuit| analysis.model.circuits[circuit].landlords());
    if let Some(given) = landlords.and_then(|figures| figures.fault_current.given()) {
        let note = format!(
            "{} at the landlord's {}",
            given.value.show(),
            analysis.words().socket
        );
        above.push(place(given.span, note));
    }
    let source = landlords.and_then(|figures| figures.source.known());
    // What does not follow from a clause that was read still follows from what the device is made for.
    draft
        .above(above)
        .working(working(analysis, fault_loops, device.at, fault))
        .working([format!("{is} > {may}")])
        .also(source.map(|source| Citation::given_by_site(source)))
        .measured(Measure::above(fault, capacity))
        .advice(format!(
            "{}; or have the maker of the breaker ahead confirm in writing that it backs this one up, and record a departure.",
            stronger(analysis, device.at, &is)
        ))
        .about([analysis.full_name(device.at)])
        .finish()
}

/// Which breaker would do. That of a bank is part of the PDU and is not exchanged on site.
fn stronger(analysis: &Analysis<'_>, id: ElementId, fault: &str) -> String {
    match analysis.graph.kind(id) {
        ElementKind::Bank(..) => format!(
            "Use a PDU model whose bank {} breaks {fault} or more, and never exchange a breaker inside a PDU",
            analysis.name(id).value
        ),
        _ if landlords_at(analysis, id).is_some() => {
            format!("Tell the landlord: his breaker must break {fault} or more")
        }
        _ => format!("Fit a breaker that breaks {fault} or more"),
    }
}

/// How the fault current comes about; nothing to show for a circuit, where it is the supply's.
fn working(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    id: ElementId,
    fault: Current,
) -> Option<String> {
    let feeder = analysis.graph.element(id).feeder?;
    if matches!(analysis.graph.kind(id), ElementKind::Circuit(_)) {
        return None;
    }
    let poles = analysis.graph.poles(id);
    let source = Source::behind(analysis.model, analysis.graph, id)?;
    let around = source.short_circuit(poles, fault_loops.cold(feeder).line);
    Some(format!(
        "{} ÷ √(({})² source + ({})² cold conductors) = {}",
        show_rounded(around.voltage),
        show_rounded(around.source),
        show_rounded(around.conductors),
        show_rounded(fault)
    ))
}

pub(super) fn miss_source(analysis: &Analysis<'_>, id: ElementId, gaps: &mut Gaps) {
    let Some(lack) = source_lack(analysis, id) else {
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
        missing: lack.note.into(),
        basis: basis(analysis),
        advice: lack.advice.into(),
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

fn kiloamperes(current: Current) -> String {
    if current.in_amperes().is_finite() {
        show_rounded(current)
    } else {
        "any size".to_owned()
    }
}
