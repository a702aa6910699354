//! The finding that a current has crossed a limit, and the one that this cannot be said.

use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, Quantity, seconds, show_pair};
use crate::rules::{Draft, Rule};
use crate::survey::{Survey, place};
use crate::tables::Practice;
use crate::tables::breakers::{Curve, trip_time_bounds};

use super::contribution::{self, Tap};
use super::limit::{Limit, Limits, Part, Step};
use super::missing::{self, Undecided};
use super::relief;
use super::way::{self, Carried, on_pole};

/// How long a breaker is tested to hold its conventional non-tripping current, at the least.
const AN_HOUR_SECONDS: f64 = 3600.0;

/// Judges the normal state of those elements that `is_meant` picks against their own limits.
pub fn judge_normal(
    rule: &Rule,
    survey: &Survey<'_>,
    is_meant: impl Fn(ElementKind) -> bool,
    findings: &mut Vec<Finding>,
) {
    let mut undecided = Undecided::new("", " is overloaded");
    for (id, element) in survey.graph.elements() {
        if is_meant(element.kind) {
            findings.extend(judge(rule, survey, id, &mut undecided));
        }
    }
    findings.extend(undecided.findings(rule, survey));
}

fn judge(
    rule: &Rule,
    survey: &Survey<'_>,
    id: ElementId,
    undecided: &mut Undecided,
) -> Option<Finding> {
    let limits = Limits::of(survey, id)?;
    let worst = survey.flows.normal(survey.graph, id);
    let crossed = worst.and_then(|worst| Some((worst, limits.crossed_by(worst.current)?)));
    if let Some((worst, limit)) = crossed {
        let carried = Carried {
            id,
            pole: worst.pole,
            current: worst.current,
            lost: None,
        };
        return Some(overloaded(rule, survey, &carried, (&limits, limit)));
    }
    open(
        rule,
        survey,
        id,
        &limits,
        worst.map(|worst| worst.current),
        undecided,
    )
}

/// What stays open of an element that no known load overloads: a limit or a load is missing. A part
/// that carries nothing cannot be overloaded, whatever its limit.
pub fn open(
    rule: &Rule,
    survey: &Survey<'_>,
    id: ElementId,
    limits: &Limits,
    known: Option<Current>,
    undecided: &mut Undecided,
) -> Option<Finding> {
    let unknown = survey.flows.unknown_below(id);
    let is_loaded = unknown.is_some() || known.is_some_and(|known| !known.is_zero());
    if let Some(missing) = limits.missing.as_ref().filter(|_| is_loaded) {
        return Some(missing::limit(rule, missing));
    }
    if let Some(device) = unknown {
        let lowest = limits.lowest();
        let known = known.zip(lowest);
        let known = known.map(|(known, lowest)| known_alone(known, lowest));
        let basis = lowest.and_then(|lowest| lowest.basis.first());
        undecided.add(device, id, known, basis);
    }
    None
}

fn known_alone(known: Current, lowest: &Limit) -> String {
    let (known, limit) = show_pair(known, lowest.current);
    format!("the known loads alone make {known}; the limit is {limit}")
}

/// A current that has crossed a limit.
pub fn overloaded(
    rule: &Rule,
    survey: &Survey<'_>,
    carried: &Carried,
    (limits, limit): (&Limits, &Limit),
) -> Finding {
    let (shown, most) = show_pair(carried.current, limit.current);
    let pole = on_pole(survey, carried.id, carried.pole);
    let headline = headline(survey, carried, limit, &shown, &most);
    let (mut working, sum) = contribution::lines(survey, carried.id, carried.pole, carried.lost);
    working.extend(contribution::drop(sum, carried.current));
    working.extend(moved(survey, carried));
    working.extend(way::all_poles(survey, carried.id).filter(|_| carried.lost.is_none()));
    working.extend(limit.working());
    let basis = limit.basis.iter().cloned();
    let first = limit
        .basis
        .first()
        .cloned()
        .unwrap_or_else(|| Citation::marked("as marked"));
    let at = places(survey, carried.id, limit, format!("carries {shown}{pole}"));
    // What is taken off must bring it below every line, not only below the one that it crossed.
    let lowest = limits.lowest().map_or(limit.current, |low| low.current);
    Draft::new(rule, headline, at.main.span, at.main.note, first)
        .also(basis)
        .level(limit.level())
        .above(way::above(survey, carried))
        .above(at.ahead)
        .below(at.behind)
        .below(way::below(survey, carried))
        .working(working)
        .advice(relief::advice(survey, carried, lowest))
        .about([survey.full_name(carried.id)])
        .kind(kind(limit.step))
        .finish()
}

/// Where an overload is pointed at.
struct Places {
    ahead: Option<Place>,
    main: Place,
    behind: Option<Place>,
}

/// The breaker of a circuit stands beside the loads of that circuit; what limits a strip or a bank stands
/// in a model that others share, so that the strip itself is pointed at.
fn places(survey: &Survey<'_>, id: ElementId, limit: &Limit, carries: String) -> Places {
    let rated = limit.rated.show();
    let part = match limit.part {
        Part::Breaker => format!("{rated} breaker"),
        Part::Strip => format!("rated {rated}"),
        Part::Plug => format!("plug for {rated}"),
        Part::Receptacle => format!("receptacle for {rated}"),
    };
    let strip = match survey.graph.kind(id) {
        ElementKind::Bank(..) => survey.graph.element(id).feeder,
        ElementKind::Pdu(_) => Some(id),
        _ => None,
    };
    let Some(strip) = strip else {
        let main = place(limit.at, format!("{part}, {carries}"));
        return Places {
            ahead: Some(survey.hop(id)),
            main,
            behind: None,
        };
    };
    let what = survey.describe(id);
    let limiting = Some(place(limit.at, part));
    let is_ahead = matches!(limit.part, Part::Plug | Part::Receptacle);
    Places {
        ahead: limiting.clone().filter(|_| is_ahead),
        main: place(survey.name(strip).span, format!("{what} {carries}")),
        behind: limiting.filter(|_| !is_ahead),
    }
}

fn kind(step: Step) -> &'static str {
    match step {
        Step::House => "house-limit",
        Step::Code => "continuous",
        Step::Rating => "rating",
    }
}

fn headline(
    survey: &Survey<'_>,
    carried: &Carried,
    limit: &Limit,
    shown: &str,
    most: &str,
) -> String {
    let id = carried.id;
    let pole = on_pole(survey, id, carried.pole);
    let carries = format!(
        "{} carries {shown}{pole}{}",
        survey.describe(id),
        way::after(survey, carried.lost)
    );
    let devices = devices_on(survey, carried);
    let rated = limit.rated.show();
    let share = limit.share.map(|share| share.show()).unwrap_or_default();
    let as_well = if carried.lost.is_some() {
        " as well"
    } else {
        ""
    };
    // Where every breaker holds for an hour at its reference temperature, warm air is what trips it.
    let holds = limit.step < Step::Rating || breaker_holds(survey, carried.current, limit.rated);
    let warm = if holds { " in warm air" } else { "" };
    let trip = format!("may trip{as_well}{warm}, which cuts off {devices}");
    let burn = "can overheat and burn whoever touches it";
    let said = limit.said;
    match (limit.step, limit.part) {
        (Step::Rating, Part::Breaker) => {
            format!("{carries}, more than its {rated} breaker is rated for: it runs hot and {trip}")
        }
        (Step::Rating, Part::Strip) => format!(
            "{carries}, more than the {rated} it is rated for: its input {burn}, and {devices} may be cut off"
        ),
        (_, Part::Plug) => format!(
            "{carries}, more than the {rated} of its plug: the plug {burn}, and {devices} may be cut off"
        ),
        (Step::Rating, Part::Receptacle) => format!(
            "{carries}, more than the {rated} of its receptacle: it {burn}, and {devices} may be cut off"
        ),
        (Step::House | Step::Code, Part::Receptacle | Part::Strip) => format!(
            "{carries}, above {most}: that is {share} of its {rated} receptacle and {said}; above it the receptacle {burn}"
        ),
        (Step::House | Step::Code, Part::Breaker) => format!(
            "{carries}, above {most}: that is {share} of its {rated} breaker and {said}; above it the breaker runs hot and {trip}"
        ),
    }
}

/// Whether a breaker holds this current for an hour at its reference temperature, whatever its curve.
fn breaker_holds(survey: &Survey<'_>, current: Current, rated: Current) -> bool {
    let curves: &[Curve] = match survey.practice() {
        Some(Practice::Iec) => &[Curve::B, Curve::C, Curve::D],
        _ => &[Curve::InverseTime],
    };
    curves.iter().all(|&curve| {
        let soonest = trip_time_bounds(curve, rated, current / rated).soonest;
        soonest.is_some_and(|soonest| soonest.value >= seconds(AN_HOUR_SECONDS))
    })
}

/// How many devices a trip would cut off from this feed.
fn devices_on(survey: &Survey<'_>, carried: &Carried) -> String {
    contribution::count_devices(&contribution::taps(survey, carried.id, carried.lost))
}

/// The devices whose load moves here with the loss: a few by name, then how many more.
pub fn moved(survey: &Survey<'_>, carried: &Carried) -> Option<String> {
    const NAMED: usize = 3;
    let lost = carried.lost?;
    let taps = contribution::taps(survey, carried.id, Some(lost));
    let moving: Vec<Tap> = taps
        .into_iter()
        .filter(|tap| tap.power != tap.normal)
        .collect();
    let devices = contribution::distinct(&moving);
    let names: Vec<&str> = devices
        .iter()
        .take(NAMED)
        .map(|&device| survey.model.devices[device].name.value.as_str())
        .collect();
    let more = match devices.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let before = survey.flows.normal_currents(survey.graph, carried.id);
    let before = before.into_iter().find(|(pole, _)| *pole == carried.pole);
    let before = before.map_or(String::new(), |(_, current)| {
        format!("; normally {}", current.show())
    });
    (!names.is_empty()).then(|| format!("load moves here from {}{more}{before}", names.join(", ")))
}
