//! The finding that a current has crossed a limit, and the one that this cannot be said.

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{Current, Quantity, show_pair};
use crate::rules::{Draft, Rule};
use crate::survey::Survey;

use super::contribution::{self, Tap};
use super::limit::{Limit, Limits, Part, Step};
use super::missing::{self, Undecided};
use super::relief;
use super::way::{self, Carried, on_pole};

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
        return Some(overloaded(rule, survey, &carried, limit));
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
pub fn overloaded(rule: &Rule, survey: &Survey<'_>, carried: &Carried, limit: &Limit) -> Finding {
    let (shown, most) = show_pair(carried.current, limit.current);
    let pole = on_pole(survey, carried.id, carried.pole);
    let headline = headline(survey, carried, limit, &shown, &most);
    let rated = limit.rated.show();
    let note = match limit.part {
        Part::Breaker => format!("{rated} breaker, carries {shown}{pole}"),
        Part::Strip => format!("rated {rated}, carries {shown}{pole}"),
        Part::Plug => format!("plug for {rated}, carries {shown}{pole}"),
        Part::Receptacle => format!("receptacle for {rated}, carries {shown}{pole}"),
    };
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
    // The thing itself by its name; a bank's stands right beside its breaker.
    let is_bank = matches!(survey.graph.kind(carried.id), ElementKind::Bank(..));
    let own = Some(survey.hop(carried.id)).filter(|_| !is_bank);
    let is_ahead = limit.part != Part::Receptacle;
    Draft::new(rule, headline, limit.at, note, first)
        .also(basis)
        .level(limit.level())
        .above(way::above(survey, carried))
        .above(own.clone().filter(|_| is_ahead))
        .below(own.filter(|_| !is_ahead))
        .below(way::below(survey, carried))
        .working(working)
        .advice(relief::advice(
            survey,
            carried,
            carried.current - limit.current,
        ))
        .about([survey.full_name(carried.id)])
        .kind(kind(limit.step))
        .finish()
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
    let carries = match carried.lost {
        None => format!("{} carries {shown}{pole}", way::at_start(survey, id)),
        Some(lost) => format!(
            "When {} is lost, {} carries {shown}{pole}",
            survey.describe(lost),
            survey.describe(id)
        ),
    };
    let devices = devices_on(survey, carried);
    let rated = limit.rated.show();
    let share = limit.share.map(|share| share.show()).unwrap_or_default();
    let as_well = if carried.lost.is_some() {
        " as well"
    } else {
        ""
    };
    let trip = format!("may trip{as_well}, which cuts off {devices}");
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
