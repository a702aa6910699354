//! Facts without which nobody can say whether a coupler ought to be held, or is.

use smol_str::SmolStr;

use crate::analysis::Analysis;
use crate::finding::Fact;
use crate::model::optional::Optional;
use crate::model::places::Rack;
use crate::model::value::Field;
use crate::source::Span;

use super::end::{Asked, End, Owner, Whereabouts};
use super::hold::Hold;

/// A fact that is missing.
pub(super) struct MissingFact {
    /// Where it should stand.
    pub at: Span,
    /// The thing that lacks it.
    pub thing: SmolStr,
    /// What kind of thing that is.
    pub kind: &'static str,
    /// Whether many share the thing.
    pub is_shared: bool,
    /// What is asked, and what is missing for the answer.
    pub headline: String,
    /// What to see at the place.
    pub note: &'static str,
    /// What to write.
    pub advice: String,
    /// The same as a key of the format, where one would do.
    pub fact: Option<Fact>,
}

/// What is missing for a decision on an end, if anything is.
pub(super) fn missing_fact(analysis: &Analysis<'_>, end: &End<'_>) -> Option<MissingFact> {
    match (end.hold(), end.asked()) {
        (Hold::Loose | Hold::Unknown | Hold::HalfTold(_), Asked::Unknown) => {
            Some(unknown_vibration(analysis, end))
        }
        (Hold::Unknown, Asked::Shaken(_) | Asked::Required) => unknown_hold(analysis, end),
        _ => None,
    }
}

fn unknown_vibration(analysis: &Analysis<'_>, end: &End<'_>) -> MissingFact {
    let whether = "must couplers be held";
    let missing = |fact: Fact, name: &SmolStr, kind, what: &str, note| MissingFact {
        at: fact.span,
        fact: Some(fact),
        thing: name.clone(),
        kind,
        is_shared: true,
        headline: format!("{whether} in {kind} {name}? Missing: its {what}"),
        note,
        advice: format!("Write the {what} of {name}."),
    };
    let site = &analysis.model.site.name;
    match end.whereabouts {
        Whereabouts::Zone(zone) => {
            let fact = match &zone.retention {
                Optional::Unreadable(_) => Fact::of(zone, "retention", Some(&zone.retention)),
                _ => Fact::of(zone, "vibration", Some(&zone.vibration)),
            };
            let name = &zone.name.value;
            let mut missing = missing(
                fact,
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
        _ if analysis.model.zones.is_empty() => MissingFact {
            at: site.span().unwrap_or(end.owner.name(analysis).span),
            thing: "site".into(),
            kind: "zones",
            fact: None,
            is_shared: false,
            headline: format!("{whether}? Missing: zones that say what shakes the racks"),
            note: "not decided: zones are missing",
            advice: "Define a zone with its vibration, and name it in the racks.".into(),
        },
        Whereabouts::Rack(rack) => missing(
            Fact::at::<Rack, Field<()>>(rack, "zone", None),
            &rack.value,
            "rack",
            "zone",
            "not decided: the zone is missing",
        ),
        Whereabouts::Thing(thing) => MissingFact {
            at: thing.span,
            thing: thing.value.clone(),
            kind: "thing",
            fact: None,
            is_shared: false,
            headline: format!("{whether} at {}? Missing: its rack or zone", thing.value),
            note: "not decided: the rack or the zone is missing",
            advice: format!(
                "Write the rack of {}, or the zone of a device that is in no rack.",
                thing.value
            ),
        },
    }
}

fn unknown_hold(analysis: &Analysis<'_>, end: &End<'_>) -> Option<MissingFact> {
    if !end.locks.own.is_absent()
        && let Some(at) = end.locks.offered.span().or(end.locks.own.span())
    {
        let mate = end.mate_name(analysis);
        return Some(MissingFact {
            at,
            thing: end.owner.name(analysis).value.clone(),
            kind: "unreadable",
            fact: None,
            is_shared: false,
            headline: format!(
                "is {} held in {mate}? Open: what holds it cannot be read",
                end.describe(analysis)
            ),
            note: "not decided: the kind of retention cannot be read",
            advice: "Write one of the kinds of retention, like pin-grip or none.".into(),
        });
    }
    let (what, name, fact) = match end.owner {
        Owner::Cord(cord) => {
            let kind = analysis.graph.links.cord_types[cord.index()]?;
            let kind = &analysis.model.cord_types[kind];
            let fact = Fact::of(kind, "retention", Some(&kind.retention));
            ("cord type", &kind.name, fact)
        }
        Owner::Pdu(pdu) => {
            let kind = analysis.graph.links.pdu_models[pdu.index()]?;
            let kind = &analysis.model.pdu_models[kind];
            let fact = Fact::of(kind, "retention", Some(&kind.retention));
            ("PDU model", &kind.name, fact)
        }
    };
    Some(MissingFact {
        at: fact.span,
        fact: Some(fact),
        thing: name.value.clone(),
        kind: what,
        is_shared: true,
        headline: format!(
            "what holds the couplers of {what} {}? Look at the part",
            name.value
        ),
        note: "not decided: the retention is missing",
        advice: format!(
            "Look at the part and write what holds its ends under `retention` of {what} {}; `none` where it has no lock.",
            name.value
        ),
    })
}
