//! The load schedule: currents by supply, circuit, PDU, bank and pole, in the normal state and in the worst.

use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind, Loss};
use crate::model::circuits::Pole;
use crate::quantity::{ApparentPower, Current, InUnits};
use crate::survey::Survey;

use super::table::{Column, Row, Schedule, UNKNOWN, at_least, at_most, numbers, words};

const COLUMNS: &[Column] = &[
    words("what"),
    words("pole"),
    numbers("normal"),
    numbers("worst"),
    words("unit"),
    words("lost at worst"),
    numbers("limit"),
    words("limit of"),
    numbers("used %"),
];

/// One row for each pole, of two poles one for both; a supply has one more for its apparent power.
pub(super) fn loads(survey: &Survey<'_>) -> Schedule {
    let elements = survey.graph.elements();
    let shown = elements.filter(|(_, element)| {
        !matches!(element.kind, ElementKind::Cord(_) | ElementKind::Leg(..))
    });
    let rows = shown.flat_map(|(id, _)| {
        let power = power(survey, id);
        power.into_iter().chain(currents(survey, id))
    });
    Schedule::new(
        COLUMNS,
        rows.collect(),
        &[
            "Currents are those at the low end of the supply's tolerance; worst is over the normal state and every single loss: where nothing is lost at worst, it is the normal state.",
            "limit is the lowest of all that limits each line; cordwright check also holds currents against the share that may flow without end, and says what rests on which source.",
            "≥: a load, or what a cord feeds, is not known, so that more may flow. ≤: a limit is not known, and may be lower.",
        ],
    )
}

fn currents(survey: &Survey<'_>, id: ElementId) -> Vec<Row> {
    let (graph, flows) = (survey.graph, survey.flows);
    let poles: Vec<Pole> = graph.poles(id).collect();
    if let [one, other] = poles[..] {
        let normal = flows.normal(graph, id).map(|normal| normal.current);
        let both = format!("{}-{}", one.word(), other.word());
        return vec![row(survey, id, &both, normal, flows.worst(graph, id), true)];
    }
    let normal = flows.normal_currents(graph, id);
    let rows = normal.map(|(pole, normal)| {
        let worst = flows.worst_on(graph, id, pole);
        let is_line = pole != Pole::N || poles.len() == 1;
        row(survey, id, pole.word(), Some(normal), worst, is_line)
    });
    rows.collect()
}

fn row(
    survey: &Survey<'_>,
    id: ElementId,
    poles: &str,
    normal: Option<Current>,
    worst: Option<Worst>,
    is_line: bool,
) -> Row {
    let load_is_bound = survey.more_may_flow(id);
    // One load more may also balance the lines: then less flows in their neutral.
    let known = |current: Option<f64>| match is_line {
        true => at_least(current, load_is_bound),
        false => at_least(current.filter(|_| !load_is_bound), false),
    };
    // No breaker opens for a neutral alone; what it may carry is judged by a rule of its own.
    let (limit, limit_is_bound) = survey.lowest_limit(id);
    let limit = limit.filter(|_| is_line);
    let most = limit.as_ref().map(|(_, current)| current.in_amperes());
    let amperes = worst.map(|worst| worst.current.in_amperes());
    vec![
        survey.describe(id),
        poles.to_owned(),
        known(normal.map(|normal| normal.in_amperes())),
        known(amperes),
        "A".to_owned(),
        lost(survey, worst.and_then(|worst| worst.lost)),
        match most {
            // A supply is limited by its capacity, a bank without a breaker by what is ahead.
            None if !is_line || !limit_is_bound => String::new(),
            _ => at_most(most, limit_is_bound),
        },
        limit.map_or_else(String::new, |(limit, _)| limit.what.to_owned()),
        used(amperes.zip(most), load_is_bound || limit_is_bound),
    ]
}

fn power(survey: &Survey<'_>, id: ElementId) -> Option<Row> {
    let ElementKind::Supply(supply) = survey.graph.kind(id) else {
        return None;
    };
    let is_bound = survey.more_may_flow(id);
    let kilo = |power: ApparentPower| power.in_volt_amperes() / 1000.0;
    let normal = kilo(survey.flows.normal_power(survey.graph, id));
    let (worst, cause) = survey.flows.worst_power(supply);
    let capacity = survey.model.supplies[supply].capacity.copied().map(kilo);
    Some(vec![
        survey.describe(id),
        "all".to_owned(),
        at_least(Some(normal), is_bound),
        at_least(Some(kilo(worst)), is_bound),
        "kVA".to_owned(),
        lost(survey, cause),
        at_most(capacity, false),
        "capacity".to_owned(),
        used(capacity.map(|capacity| (kilo(worst), capacity)), is_bound),
    ])
}

/// What is lost in the worst state; empty if it is the normal one.
fn lost(survey: &Survey<'_>, lost: Option<Loss>) -> String {
    lost.map_or_else(String::new, |lost| survey.describe_loss(lost))
}

/// The share of the limit that the worst takes; `?` where either is only a bound.
fn used(both: Option<(f64, f64)>, is_bound: bool) -> String {
    match both {
        Some(_) if is_bound => UNKNOWN.to_owned(),
        Some((worst, limit)) if limit > 0.0 => format!("{:.0}", 100.0 * worst / limit),
        _ => String::new(),
    }
}
