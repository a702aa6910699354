//! `retention-missing`: does nothing hold a coupler that is shaken?

use std::collections::BTreeSet;

use crate::citation::Citation;
use crate::finding::{Finding, Level, Place};
use crate::model::cords::CordType;
use crate::model::value::{Field, Named};
use crate::quantity::InUnits;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, field_or_name, place};
use crate::tables::couplers::Family;
use crate::tables::retention::Retention;

use super::end::{Asked, End, Mate, Owner, Whereabouts};
use super::hold::Hold;
use super::{held_in_vibration, shakes};

rule!(
    "retention-missing",
    Retention,
    Warning,
    "Nothing holds a coupler where it is shaken: it works loose, arcs, and drops what it feeds."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut reported = BTreeSet::new();
    for owner in Owner::all(survey) {
        let any_held = owner.ends(survey).any(|end| end.is_held());
        let loose: Vec<End<'_>> = owner
            .ends(survey)
            .filter(|end| is_missing(end, any_held))
            .collect();
        if !loose.is_empty() {
            findings.push(missing(survey, owner, &loose));
        }
        for end in owner.ends(survey) {
            findings.extend(open(survey, &end, &mut reported));
        }
    }
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

fn missing(survey: &Survey<'_>, owner: Owner, loose: &[End<'_>]) -> Finding {
    let name = &owner.name(survey).value;
    let is_required = loose.iter().any(|end| end.asked() == Asked::Required);
    let ends: Vec<String> = loose
        .iter()
        .map(|end| format!("{} in {}", end.describe(survey), end.mate_name(survey)))
        .collect();
    let headline = format!(
        "nothing holds {}; {}: it can work loose, arc and drop what it feeds",
        ends.join(", nor "),
        why(&loose[0])
    );
    let (before, after): (Vec<&End<'_>>, Vec<&End<'_>>) = loose
        .iter()
        .partition(|end| matches!(end.mate, Mate::Feed(_)));
    let at = |ends: Vec<&End<'_>>| -> Vec<Place> {
        let note = |end: &End<'_>| {
            format!(
                "{}: {} held by nothing",
                end.mate_name(survey),
                end.coupler_name()
            )
        };
        ends.into_iter()
            .map(|end| place(end.mate_at, note(end)))
            .collect()
    };
    let basis = if is_required {
        Citation::marked("the zone's own demand, `retention: required`")
    } else {
        held_in_vibration()
    };
    Draft::new(
        &RULE,
        headline,
        owner.kind_at(survey),
        format!("{name} has no hold here"),
        basis,
    )
    .level(if is_required {
        Level::Error
    } else {
        Level::Warning
    })
    .above(at(before))
    .below(at(after))
    .below(zone_place(&loose[0]))
    .also(withdrawal(loose))
    .about([name.clone()])
    .advice(advice(survey, owner))
    .finish()
}

/// Why the end ought to be held.
fn why(end: &End<'_>) -> String {
    let zone = match end.whereabouts {
        Whereabouts::Zone(zone) => zone.name.value.as_str(),
        _ => "",
    };
    match end.asked() {
        Asked::Shaken(vibration) => format!("zone {zone} is a place where {}", shakes(vibration)),
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
    let families = loose.iter().filter_map(|end| end.locks.coupler.get());
    families
        .map(|coupler| coupler.family)
        .any(|family| family == Family::Iec60320)
        .then(|| Retention::None.kind().citation.clone())
}

/// What would hold a cord where it lies: a cord type of the site, else a kind of lock.
pub(super) fn advice(survey: &Survey<'_>, owner: Owner) -> String {
    if matches!(owner, Owner::Pdu(_)) {
        return "Feed the PDU by a coupler that holds itself, such as a locking or a pin and sleeve one.".into();
    }
    match held_type(survey, owner) {
        Some(kind) => format!("Use type {}, which is held at every end here.", kind.name.value),
        None => "Order a cord with pin-grip at the connector, which holds on any standard inlet; hold the plug by an outlet with a latch and a plug made for it, or by jaws in the outlet.".into(),
    }
}

/// The shortest type of the site, not shorter than the cord's own, with the same ends, each of them held.
fn held_type<'a>(survey: &Survey<'a>, owner: Owner) -> Option<&'a Named<CordType>> {
    let Owner::Cord(cord) = owner else {
        return None;
    };
    let own = survey.graph.cord_type(survey.model, cord)?;
    let length = |kind: &CordType| kind.length.get().map(|length| length.in_metres());
    let is_same = |kind: &CordType| {
        kind.plug.get() == own.plug.get()
            && kind.connector.get() == own.connector.get()
            && kind.legs.is_empty()
            && own.legs.is_empty()
            && length(kind) >= length(own)
    };
    let types = survey.model.cord_types.items().iter();
    let held = types
        .filter(|kind| is_same(kind) && owner.ends_as(survey, Some(kind)).all(|end| end.is_held()));
    held.min_by(|a, b| {
        let (a, b) = (
            length(a).unwrap_or(f64::INFINITY),
            length(b).unwrap_or(f64::INFINITY),
        );
        a.total_cmp(&b)
    })
}

/// What is missing for a decision, each fact once.
fn open(survey: &Survey<'_>, end: &End<'_>, reported: &mut BTreeSet<Span>) -> Option<Finding> {
    let fact = match (end.hold(), end.asked()) {
        (Hold::Loose | Hold::Unknown, Asked::Unknown) => unknown_vibration(survey, end),
        (Hold::Unknown, Asked::Shaken(_) | Asked::Required) => unknown_hold(survey, end)?,
        _ => return None,
    };
    reported.insert(fact.at).then(|| {
        Draft::new(
            &RULE,
            fact.headline,
            fact.at,
            fact.note,
            held_in_vibration(),
        )
        .open()
        .about([fact.thing])
        .kind(fact.kind)
        .advice(fact.advice)
        .finish()
    })
}

/// A fact that is missing.
struct Missing {
    at: Span,
    thing: smol_str::SmolStr,
    kind: &'static str,
    headline: String,
    note: &'static str,
    advice: String,
}

fn unknown_vibration(survey: &Survey<'_>, end: &End<'_>) -> Missing {
    let whether = "Whether couplers must be held";
    let missing = |at: Span, name: &smol_str::SmolStr, kind, what: &str, note| Missing {
        at,
        thing: name.clone(),
        kind,
        headline: format!("{whether} in {kind} {name} cannot be said: its {what} is missing"),
        note,
        advice: format!("Write the {what} of {name}."),
    };
    let site = &survey.model.site.name;
    match end.whereabouts {
        Whereabouts::Zone(zone) => {
            let at = match &zone.retention {
                Field::Unreadable(at) => *at,
                _ => field_or_name(&zone.vibration, &zone.name),
            };
            let name = &zone.name.value;
            let mut missing = missing(
                at,
                name,
                "zone",
                "vibration",
                "not decided: the vibration is missing",
            );
            missing.advice =
                format!("Write vibration: none, machinery, seismic or transport for zone {name}.");
            missing
        }
        // A site without any zone lacks one fact, not one for each rack.
        _ if survey.model.zones.is_empty() => Missing {
            at: site.span().unwrap_or(end.owner.name(survey).span),
            thing: "site".into(),
            kind: "zones",
            headline: format!(
                "{whether} cannot be said: the site has no zones that say what shakes its racks"
            ),
            note: "not decided: zones are missing",
            advice: "Define a zone with its vibration, and name it in the racks.".into(),
        },
        Whereabouts::Rack(rack) => missing(
            rack.span,
            &rack.value,
            "rack",
            "zone",
            "not decided: the zone is missing",
        ),
        Whereabouts::Thing(thing) => Missing {
            headline: format!(
                "{whether} at {} cannot be said: its rack is missing",
                thing.value
            ),
            ..missing(
                thing.span,
                &thing.value,
                "thing",
                "rack",
                "not decided: the rack is missing",
            )
        },
    }
}

fn unknown_hold(survey: &Survey<'_>, end: &End<'_>) -> Option<Missing> {
    if !end.locks.own.is_absent()
        && let Some(at) = end.locks.offered.span().or(end.locks.own.span())
    {
        let mate = end.mate_name(survey);
        return Some(Missing {
            at,
            thing: end.owner.name(survey).value.clone(),
            kind: "unreadable",
            headline: format!(
                "Whether {} is held in {mate} cannot be said: what holds it cannot be read",
                end.describe(survey)
            ),
            note: "not decided: the kind of retention cannot be read",
            advice: "Write one of the kinds of retention, like pin-grip or none.".into(),
        });
    }
    let (what, name, retention) = match end.owner {
        Owner::Cord(cord) => {
            let kind = survey.graph.links.cord_types[cord.index()]?;
            let kind = &survey.model.cord_types[kind];
            ("cord type", &kind.name, kind.retention.span())
        }
        Owner::Pdu(pdu) => {
            let kind = survey.graph.links.pdu_models[pdu.index()]?;
            let kind = &survey.model.pdu_models[kind];
            ("PDU model", &kind.name, kind.retention.span())
        }
    };
    Some(Missing {
        at: retention.unwrap_or(name.span),
        thing: name.value.clone(),
        kind: what,
        headline: format!(
            "Whether couplers of {what} {} are held cannot be said: its retention is missing",
            name.value
        ),
        note: "not decided: the retention is missing",
        advice: format!(
            "Look at the part and write what holds its ends under `retention` of {what} {}; `none` where it has no lock.",
            name.value
        ),
    })
}
