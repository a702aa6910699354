//! The load schedule: currents by supply, circuit, PDU, bank and pole, in the normal state and in the worst.

use crate::analysis::{Analysis, Margin, Standing, Stands};
use crate::graph::{ElementId, ElementKind, Loss};
use crate::model::circuits::Pole;
use crate::quantity::{ApparentPower, Current, InUnits};

use super::table::{
    Column, NOTE, Row, Schedule, UNKNOWN, at_least, at_most, noted, numbers, words,
};

const COLUMNS: &[Column] = &[
    words("what"),
    words("pole"),
    numbers("normal"),
    numbers("worst"),
    words("unit"),
    words("lost at worst"),
    numbers("limit"),
    words("limit of"),
    numbers("margin"),
    NOTE,
];

/// The column of what sets the limit.
const LIMIT_OF: usize = 7;

/// One row for each pole, of two poles one for both; a supply has one more for its apparent power.
pub(super) fn loads(analysis: &Analysis<'_>) -> Schedule {
    let elements = analysis.graph.elements();
    let shown = elements.filter(|(_, element)| {
        !matches!(element.kind, ElementKind::Cord(_) | ElementKind::Leg(..))
    });
    let rows = shown.flat_map(|(id, _)| {
        let power = power(analysis, id);
        power.into_iter().chain(currents(analysis, id))
    });
    let mut schedule = Schedule::new(
        COLUMNS,
        rows.collect(),
        &[
            "Currents are those at the low end of the supply's tolerance; worst is over the normal state and every single loss: where nothing is lost at worst, it is the normal state.",
            "limit is the lowest share of a rating that may be used of all that bounds each line, and of a neutral what it may carry itself; margin is what is left up to it. cordwright check says what rests on which source.",
            "above: the limit is passed, and the margin has a minus.",
            "≥: a load, or what a cord feeds, is not known, so that more may flow. ≤: a limit is not known, and may be lower, or less is left.",
        ],
    );
    if let Some(unfed) = analysis.unfed().words() {
        schedule.notes.insert(0, unfed);
    }
    schedule
}

fn currents(analysis: &Analysis<'_>, id: ElementId) -> Vec<Row> {
    let held = analysis.held(id);
    let poles: Vec<Pole> = analysis.graph.poles(id).collect();
    if let [one, other] = poles[..] {
        let both = format!("{}-{}", one.word(), other.word());
        return vec![row(analysis, id, &both, &held.lines())];
    }
    let line_above = analysis
        .delivery(id)
        .and_then(|delivery| delivery.line_above);
    let rows = poles.into_iter().map(|pole| {
        let mut row = row(analysis, id, pole.word(), &held.on(pole));
        if line_above == Some(pole) {
            row[LIMIT_OF] = "above: its part of the capacity".to_owned();
        }
        row
    });
    rows.collect()
}

fn row(analysis: &Analysis<'_>, id: ElementId, poles: &str, standing: &Standing) -> Row {
    let limit = standing.limit.as_ref();
    let most = limit.map(|limit| limit.current.in_amperes());
    let amperes = standing.worst.map(|worst| worst.current.in_amperes());
    let more = standing.more_may_flow;
    let normal = standing.normal.map(|normal| normal.in_amperes());
    let is_bound = !standing.untold.is_empty();
    vec![
        analysis.describe(id),
        poles.to_owned(),
        at_least(normal, more),
        at_least(amperes, more),
        "A".to_owned(),
        lost(analysis, standing.worst.and_then(|worst| worst.lost)),
        match standing.margin() {
            // A supply is limited by its capacity, a bank without a breaker by what is ahead.
            Margin::Unbounded => String::new(),
            _ => at_most(most, is_bound),
        },
        limit.map_or_else(String::new, |limit| {
            of(&limit.said_in(analysis.words()), standing.stands())
        }),
        left(standing.margin(), Current::in_amperes),
        note(analysis, id),
    ]
}

fn power(analysis: &Analysis<'_>, id: ElementId) -> Option<Row> {
    let delivery = analysis.delivery(id)?;
    let kilo = |power: ApparentPower| power.in_volt_amperes() / 1000.0;
    let (worst, capacity) = (kilo(delivery.worst), delivery.capacity.map(kilo));
    Some(vec![
        analysis.describe(id),
        "all".to_owned(),
        at_least(Some(kilo(delivery.normal)), delivery.more_may_flow),
        at_least(Some(worst), delivery.more_may_flow),
        "kVA".to_owned(),
        lost(analysis, delivery.lost),
        at_most(capacity, false),
        of("capacity, marking", delivery.whole_stands()),
        left(delivery.margin(), kilo),
        note(analysis, id),
    ])
}

/// What somebody has noted of a supply, circuit, strip or bank.
fn note(analysis: &Analysis<'_>, id: ElementId) -> String {
    let model = analysis.model;
    match analysis.graph.kind(id) {
        ElementKind::Supply(supply) => noted(&model.supplies[supply]),
        ElementKind::Circuit(circuit) => noted(&model.circuits[circuit]),
        ElementKind::Pdu(pdu) => noted(&model.pdus[pdu]),
        ElementKind::Bank(pdu, bank) => {
            let of_model = analysis.graph.pdu_model(model, pdu);
            let bank = of_model.and_then(|of| of.banks.items().get(bank as usize));
            bank.map(noted).unwrap_or_default()
        }
        ElementKind::Cord(_) | ElementKind::Leg(..) => String::new(),
    }
}

/// What is lost in the worst state; empty if it is the normal one.
fn lost(analysis: &Analysis<'_>, lost: Option<Loss>) -> String {
    lost.map_or_else(String::new, |lost| analysis.describe_loss(lost))
}

/// What sets the limit, behind a word where it is passed.
fn of(limit: &str, stands: Stands) -> String {
    match stands {
        Stands::Above => format!("above: {limit}"),
        Stands::Open | Stands::Within => limit.to_owned(),
    }
}

fn left<Q>(margin: Margin<Q>, number: impl Fn(Q) -> f64) -> String {
    match margin {
        Margin::Known(left) => at_most(Some(number(left)), false),
        Margin::AtMost(left) => at_most(Some(number(left)), true),
        Margin::Unknown => UNKNOWN.to_owned(),
        Margin::Unbounded => String::new(),
    }
}
