//! `voltage-drop`: does enough voltage arrive?

use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::flow::fault::Ways;
use crate::flow::protection::{drop_there_and_back, share};
use crate::flow::{LowestShare, impedance};
use crate::graph::{ElementId, ElementKind};
use crate::model::site::DropLimits;
use crate::model::value::Spanned;
use crate::quantity::{InUnits, Quantity, Ratio, Voltage, percent, show_pair, show_rounded};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};
use crate::tables::limits;

use super::gaps::{Gap, Gaps};
use super::words;

rule!(
    "voltage-drop",
    Conductors,
    Warning,
    "Too little voltage at the far end: equipment drops out or draws more current than its cord was chosen for."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let limits = survey.model.site.voltage_drop.get();
    let ways = limits.map(|_| Ways::new(survey.model, survey.graph));
    let mut gaps = Gaps::of(&RULE);
    // Where the voltage has gone no figure means anything.
    let mut gone = 0..0;
    for (id, _) in survey.graph.elements() {
        if let Some(lost) = survey.flows.collapses(id) {
            findings.push(collapse(survey, id, lost));
            gone = survey.graph.below(id);
        }
        if gone.contains(&id.0) {
            continue;
        }
        let (Some(limits), Some(ways)) = (limits, &ways) else {
            continue;
        };
        judge(survey, limits, ways, id, &mut gaps, findings);
    }
}

/// What is lost along a stretch, and against which limit.
struct Lost<'a> {
    kind: &'static str,
    limit: &'a Spanned<Ratio>,
    drop: Ratio,
    working: Vec<String>,
    state: Option<ElementId>,
}

fn judge(
    survey: &Survey<'_>,
    limits: &DropLimits,
    ways: &Ways,
    id: ElementId,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) {
    let is_end = survey.device_fed_by(id).is_some();
    let is_circuit = matches!(survey.graph.kind(id), ElementKind::Circuit(_));
    let along_circuit = limits.circuit.given().filter(|_| is_circuit);
    let along_cord = limits.cord.given().filter(|_| is_end);
    let along_all = limits.total.given().filter(|_| is_end);
    if (along_circuit.is_some() || along_all.is_some())
        && let Err(at) = ways.hot(id)
    {
        miss_conductors(survey, at, gaps, findings);
    }
    let lost = [
        along_circuit.and_then(|limit| of_way(survey, id, "circuit", limit)),
        along_cord.and_then(|limit| of_cord(survey, id, limit)),
        along_all.and_then(|limit| of_way(survey, id, "total", limit)),
    ];
    let before = findings.len();
    findings.extend(lost.iter().flatten().map(|lost| too_low(survey, id, lost)));
    let is_over = findings.len() > before;
    let asked = along_circuit.or(along_cord).or(along_all);
    if let Some(limit) = asked.filter(|_| !is_over)
        && let Some(device) = survey.flows.unknown_below(id)
    {
        let what = "enough voltage arrives at";
        gaps.miss_load(survey, device, what, own_limit(limit), findings);
    }
}

/// A limit that the owner of the site has set.
fn own_limit(limit: &Spanned<Ratio>) -> Citation {
    Citation::marked(&format!("limit of {} set by the site", limit.value.show()))
}

/// A drop above its limit; sums of floating-point numbers that agree to nine digits are at it.
fn is_above(drop: Ratio, limit: Ratio) -> bool {
    drop.in_percent() > limit.in_percent() * (1.0 + 1e-9)
}

/// What is lost above the limit from the supply to the far end of an element, as a share of the
/// nominal voltage.
fn of_way<'a>(
    survey: &Survey<'_>,
    id: ElementId,
    kind: &'static str,
    limit: &'a Spanned<Ratio>,
) -> Option<Lost<'a>> {
    let LowestShare { share, lost } = survey.flows.lowest_share(survey.graph, id)?;
    let tolerance = survey.model.site.supply_tolerance.copied();
    let low = 1.0 - tolerance.map_or(0.0, |tolerance| tolerance.in_parts_of_one());
    let arrives = low * share.in_parts_of_one();
    let drop = percent(100.0 * (low - arrives));
    if !is_above(drop, limit.value) {
        return None;
    }
    let nominal = survey.flows.nominal_voltage(survey.graph, id);
    let shown = |share: f64| match nominal {
        Some(nominal) => show_rounded(nominal * share),
        None => format!("{:.2} %", 100.0 * share),
    };
    let working = format!(
        "{} at the supply − {} at the far end = {}, {:.2} % of nominal",
        shown(low),
        shown(arrives),
        shown(low - arrives),
        drop.in_percent()
    );
    Some(Lost {
        kind,
        limit,
        drop,
        working: vec![working],
        state: lost,
    })
}

/// What is lost above the limit along a cord, trunk and leg together, with its worst current and no
/// credit for power factor.
fn of_cord<'a>(survey: &Survey<'_>, id: ElementId, limit: &'a Spanned<Ratio>) -> Option<Lost<'a>> {
    let graph = survey.graph;
    let nominal = survey.flows.nominal_voltage(graph, id)?;
    let parts = || {
        let is_cord =
            |at: &ElementId| matches!(graph.kind(*at), ElementKind::Cord(_) | ElementKind::Leg(..));
        let parts = graph.upwards(id).take_while(is_cord);
        parts.filter_map(|at| {
            let one_way = impedance::of_element(survey.model, graph, graph.kind(at))?;
            Some((survey.flows.worst(graph, at)?, one_way))
        })
    };
    let sum: Voltage = parts()
        .map(|(worst, one_way)| drop_there_and_back(worst.current, one_way))
        .sum();
    let drop = share(sum, nominal);
    if !is_above(drop, limit.value) {
        return None;
    }
    let each = parts().map(|(worst, one_way)| {
        format!(
            "2 × {} × {} (hot) = {}",
            show_rounded(worst.current),
            show_rounded(one_way),
            show_rounded(drop_there_and_back(worst.current, one_way))
        )
    });
    let all = format!("{} of {}", show_rounded(sum), nominal.show());
    Some(Lost {
        kind: "cord",
        limit,
        drop,
        working: each.chain([all]).collect(),
        state: survey.flows.worst(graph, id)?.lost,
    })
}

fn too_low(survey: &Survey<'_>, id: ElementId, lost: &Lost<'_>) -> Finding {
    let (is, may) = show_pair(lost.drop, lost.limit.value);
    let along = match lost.kind {
        "total" => format!("from the supply to the end of {}", survey.describe(id)),
        _ => format!("along {}", words::run(survey, id)),
    };
    let when = survey.when(lost.state);
    let headline = format!("{is} of the voltage is lost {along} where {may} is the limit, {when}");
    let span = match lost.kind {
        "total" => survey.name(id).span,
        _ => words::choice_span(survey, id),
    };
    let draft = Draft::new(
        &RULE,
        headline,
        span,
        format!("{is} lost"),
        own_limit(lost.limit),
    );
    let guide = survey.practice().and_then(limits::total_voltage_drop);
    let guide = guide
        .filter(|_| lost.kind == "total")
        .map(|guide| guide.citation);
    draft
        .above([place(lost.limit.span, format!("limit {may}"))])
        .above(survey.hops_above(id))
        .below([words::conductor_place(survey, id, "")])
        .below(ends(survey, id))
        .working(lost.working.iter().cloned())
        .working([format!("{is} > {may}")])
        .also(guide)
        .advice("Use thicker or shorter conductors, or move load to another circuit.")
        .about([survey.full_name(id)])
        .kind(lost.kind)
        .finish()
}

fn ends(survey: &Survey<'_>, id: ElementId) -> Vec<Place> {
    match survey.graph.kind(id) {
        ElementKind::Cord(cord) => survey.ends_of(cord),
        _ => Vec::new(),
    }
}

/// No voltage at which the loads could take their power is left.
fn collapse(survey: &Survey<'_>, id: ElementId, lost: Option<ElementId>) -> Finding {
    let what = survey.describe(id);
    let when = survey.when(lost);
    let headline = format!("the voltage collapses on {what} {when}: everything on it drops out");
    let span = words::conductor_span(survey, id);
    let basis = Citation::common_practice(
        "loads of constant power ask for more than the conductors can bring at any voltage",
    );
    Draft::new(&RULE, headline, span, "cannot bring this power", basis)
        .level(Level::Error)
        .above(survey.hops_above(id))
        .below(survey.moved_places(id, lost))
        .advice("Check length and size of the wiring and the draw of the devices for slips; else use thicker conductors or move load away.")
        .about([survey.full_name(id)])
        .kind("collapse")
        .finish()
}

/// Without size or length nothing is known to be lost there, which is no pass.
fn miss_conductors(
    survey: &Survey<'_>,
    at: ElementId,
    gaps: &mut Gaps,
    findings: &mut Vec<Finding>,
) {
    let owner = words::owner(survey, at);
    let (about, what) = owner.map_or_else(
        || (survey.full_name(at), survey.describe(at)),
        |owner| (owner.name.value.clone(), owner.describe()),
    );
    gaps.miss(about, "conductors", findings, |about| Gap {
        headline: format!(
            "whether enough voltage arrives behind {what} cannot be said: size or length of its conductors is missing"
        ),
        about,
        kind: "conductors",
        span: words::conductor_span(survey, at),
        missing: "size and length of the conductors are needed".into(),
        basis: Citation::marked("limits of voltage drop set by the site"),
        advice: "Write the size and the length of the run.".into(),
    });
}
