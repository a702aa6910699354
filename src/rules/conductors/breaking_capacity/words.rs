//! What is said of a breaker that cannot break.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level, Measure};
use crate::flow::protection::Device;
use crate::graph::{ElementId, ElementKind};
use crate::model::sources::End;
use crate::model::value::Spanned;
use crate::quantity::{Current, InUnits, Quantity, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::naming;
use crate::rules::conductors::source_lack::landlords_at;
use crate::tables::constants;

use super::worst::Flow;
use super::{RULE, basis};

/// What flows where, and what the device breaks.
pub(super) struct Case<'a> {
    pub fault: Current,
    /// How it comes about; none where a landlord says it.
    pub flow: Option<Flow<'a>>,
    pub capacity: Current,
}

pub(super) fn too_weak(analysis: &Analysis<'_>, device: &Device<'_>, case: &Case<'_>) -> Finding {
    let (is, may) = show_pair(case.fault, case.capacity);
    let what = naming::device(analysis, device);
    let phrase = case
        .flow
        .map_or_else(String::new, |flow| flow.state.phrase());
    let is_by_factor = case.flow.is_some_and(|flow| flow.current < case.fault);
    let headline = match is_by_factor {
        false => format!(
            "{what} may burst on a short circuit and burn whoever stands before it: {is} can flow there{phrase}, and it breaks {may} at most"
        ),
        true => format!(
            "{what} may burst on a short circuit at the highest voltage, and burn whoever stands before it: {is} may flow there{phrase}, and it breaks {may} at most"
        ),
    };
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
    if let Some(given) = figure(analysis, device.at, case.flow.as_ref()) {
        let note = format!("{} prospective fault current{phrase}", given.value.show());
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
    let draft = match is_by_factor {
        true => draft.level(Level::Warning).kind("voltage-factor"),
        false => draft,
    };
    let factor = constants::maximum_voltage_factor().filter(|_| is_by_factor);
    draft
        .above(above)
        .working(case.flow.iter().filter_map(working))
        .working(case.flow.iter().filter(|_| is_by_factor).map(at_the_highest_voltage))
        .working([format!("{is} > {may}")])
        .also(factor.map(|factor| factor.citation))
        .also(source.map(|source| Citation::given_by_site(source)))
        .measured(Measure::above(case.fault, case.capacity))
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

/// The figure of the supply that it comes from.
fn figure<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
    flow: Option<&Flow<'a>>,
) -> Option<&'a Spanned<Current>> {
    let supply = &analysis.model.supplies[analysis.graph.supply_of(id)?];
    let figures = match flow {
        Some(flow) => flow.state.fault_current.known()?,
        None => supply.fault_current.known()?,
    };
    match flow.is_some_and(|flow| flow.is_to_earth) {
        true => figures.earth.given(),
        false => figures.figure(End::Largest).given(),
    }
}

/// How the fault current comes about; nothing to show for a circuit, where it is the supply's.
fn working(flow: &Flow<'_>) -> Option<String> {
    let around = flow.around?;
    let (flows, conductors) = (show_rounded(flow.current), show_rounded(around.conductors));
    Some(match around.limit {
        Some(limit) if flow.current >= limit => {
            format!("the inverter holds {flows} around {conductors} of cold conductors")
        }
        _ => format!(
            "{} ÷ √(({})² source + ({conductors})² cold conductors) = {flows}",
            show_rounded(around.voltage),
            show_rounded(around.source),
        ),
    })
}

fn at_the_highest_voltage(flow: &Flow<'_>) -> String {
    format!(
        "{:.2} × {} = {}: it was computed at nominal voltage, or measured on one day",
        flow.factor().in_parts_of_one(),
        show_rounded(flow.current),
        show_rounded(flow.most())
    )
}
