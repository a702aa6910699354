//! `retention-missing`: does nothing hold a coupler that is shaken?

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::tables::couplers::Family;
use crate::tables::retention::Retention;

use super::advice::advice;
use super::end::{Asked, End, Mate, Owner, Whereabouts};
use super::hold::Hold;
use super::missing::{MissingFact, missing_fact};
use super::{held_in_vibration, shaking};

rule!(
    "retention-missing",
    Retention,
    Warning up to Error,
    "Nothing holds a coupler where it is shaken: it works loose, arcs, and drops what it feeds."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut facts = ToldOnce::default();
    let mut ends: Vec<End<'_>> = Vec::new();
    for owner in Owner::all(analysis) {
        ends.clear();
        ends.extend(owner.ends(analysis));
        let any_held = ends.iter().any(End::is_held);
        let loose = ends.iter().filter(|end| is_missing(end, any_held));
        let loose: Vec<End<'_>> = loose.copied().collect();
        if !loose.is_empty() {
            findings.push(missing(analysis, owner, &loose));
        }
        for fact in ends.iter().filter_map(|end| missing_fact(analysis, end)) {
            let is_shared = fact.is_shared;
            let told = facts.tell(fact.at, || open(fact));
            told.suffered_by(is_shared.then(|| owner.name(analysis).value.clone()));
        }
    }
    findings.extend(facts.findings());
}

/// A cord that is held at its other end is one for `retention-one-ended`, unless the zone requires
/// every coupler to be held.
fn is_missing(end: &End<'_>, any_held: bool) -> bool {
    end.hold() == Hold::Loose
        && match end.asked() {
            Asked::Required => true,
            Asked::Shaken(_) => !any_held,
            Asked::Nothing | Asked::Unknown => false,
        }
}

fn missing(analysis: &Analysis<'_>, owner: Owner, loose: &[End<'_>]) -> Finding {
    let is_required = loose.iter().any(|end| end.asked() == Asked::Required);
    let (level, basis) = if is_required {
        let demand = Citation::marked("the zone's own demand, `retention: required`");
        (Level::Error, demand)
    } else {
        (Level::Warning, held_in_vibration())
    };
    let ends: Vec<String> = loose.iter().map(|end| end.in_mate(analysis)).collect();
    let halves: Vec<&str> = loose.iter().map(End::half).collect();
    let headline = format!(
        "nothing holds {}; {}: it can work loose, arc and drop what it feeds",
        ends.join(", nor "),
        why(&loose[0])
    );
    let places = |is_plug: bool| -> Vec<Place> {
        let ends = loose.iter();
        let ends = ends.filter(|end| matches!(end.mate, Mate::Feed(_)) == is_plug);
        ends.map(|end| mate_place(analysis, end)).collect()
    };
    let note = format!("nothing holds its {}", halves.join(" and "));
    Draft::new(&RULE, headline, owner.kind_at(analysis), note, basis)
        .level(level)
        .above(places(true))
        .below(places(false))
        .below(zone_place(&loose[0]))
        .also(withdrawal(loose))
        .about([owner.name(analysis).value.clone()])
        .advice(advice(analysis, owner, loose))
        .finish()
}

fn mate_place(analysis: &Analysis<'_>, end: &End<'_>) -> Place {
    let (mate, half) = (end.mate_name(analysis), end.half());
    place(
        end.mate_at,
        format!("{mate}: {half} {} held by nothing", end.coupler_name()),
    )
}

/// Why the end ought to be held.
fn why(end: &End<'_>) -> String {
    let zone = end.zone_name();
    match end.asked() {
        Asked::Shaken(vibration) => shaking(zone, vibration),
        _ => format!("zone {zone} requires every coupler to be held"),
    }
}

fn zone_place(end: &End<'_>) -> Option<Place> {
    let Whereabouts::Zone(zone) = end.whereabouts else {
        return None;
    };
    let (at, note) = match (end.asked(), zone.vibration.given()) {
        (Asked::Shaken(vibration), Some(given)) => {
            (given.span, format!("vibration: {}", vibration.word()))
        }
        _ => (
            field_or_name(&zone.retention, &zone.name),
            "retention is required".into(),
        ),
    };
    Some(place(at, note))
}

/// The sheets of appliance couplers limit the pull that frees them from above.
fn withdrawal(loose: &[End<'_>]) -> Option<Citation> {
    let families = loose.iter().filter_map(|end| end.locks.coupler.known());
    families
        .map(|coupler| coupler.family)
        .any(|family| family == Family::Iec60320)
        .then(|| Retention::None.kind().citation.clone())
}

fn open(fact: MissingFact) -> Draft {
    Draft::new(
        &RULE,
        fact.headline,
        fact.at,
        fact.note,
        held_in_vibration(),
    )
    .wants(fact.fact)
    .open()
    .about([fact.thing])
    .kind(fact.kind)
    .advice(fact.advice)
}
