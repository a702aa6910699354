//! `jacket-duty`: does the jacket stand the treading, the oil and the wet of its zone?

use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::model::places::{Duty as Asked, Zone};
use crate::model::text::YesNo;
use crate::model::value::{Field, Named};
use crate::rules::rule;
use crate::source::Span;
use crate::survey::{Survey, absence, field_or_name, place};
use crate::tables::cordage::{Cordage, Duty};

use super::open_kinds::{OpenKinds, OpenWords};
use super::replacement::replacement;
use super::run::{Run, runs};

rule!(
    "jacket-duty",
    Jackets,
    Warning,
    "A jacket too light, or not made for oil or wet, for its place: it wears or swells, and live parts come bare."
);

/// What a zone asks of a jacket.
struct Strain {
    kind: &'static str,
    is_asked: fn(&Zone) -> bool,
    at: fn(&Named<Zone>) -> Span,
    /// What it is, for the middle of a sentence.
    words: &'static str,
    /// How to keep it away.
    protect: &'static str,
    stands: fn(&Run<'_>, &Cordage, &Zone) -> Option<bool>,
    harm: &'static str,
}

static STRAINS: [Strain; 3] = [
    Strain {
        kind: "duty",
        is_asked: |zone| matches!(zone.duty, Field::Given(_)),
        at: |zone| field_or_name(&zone.duty, &zone.name),
        words: "the use",
        protect: "cover it so that nobody treads on it or drags it",
        stands: |_, cordage, zone| {
            Some(Some(grade(cordage.service.duty)) >= zone.duty.copied().map(asked))
        },
        harm: "the jacket wears through and live parts may come bare",
    },
    Strain {
        kind: "oil",
        is_asked: |zone| zone.oil.get() == Some(&YesNo(true)),
        at: |zone| field_or_name(&zone.oil, &zone.name),
        words: "oil",
        protect: "keep the oil away from it",
        stands: |run, cordage, _| {
            run.serves(cordage.service.oil_resistant, |s| {
                s.oil.copied().map(|YesNo(yes)| yes)
            })
        },
        harm: "oil swells and cracks the jacket and live parts may come bare",
    },
    Strain {
        kind: "wet",
        is_asked: |zone| zone.wet.get() == Some(&YesNo(true)),
        at: |zone| field_or_name(&zone.wet, &zone.name),
        words: "wet places",
        protect: "keep it dry",
        stands: |run, cordage, _| {
            run.serves(cordage.service.wet, |s| {
                s.wet.copied().map(|YesNo(yes)| yes)
            })
        },
        harm: "water gets in and may put the equipment's metal parts at mains voltage",
    },
];

/// The classes of both practices on one scale. Common practice: NEC hard usage with ordinary duty,
/// extra-hard usage with heavy duty, on the safe side.
fn grade(duty: Duty) -> u8 {
    match duty {
        Duty::Light | Duty::NotHard => 1,
        Duty::Ordinary | Duty::Hard => 2,
        Duty::Heavy | Duty::ExtraHard => 3,
    }
}

fn asked(duty: Asked) -> u8 {
    match duty {
        Asked::Light => 1,
        Asked::Ordinary => 2,
        Asked::Heavy => 3,
    }
}

fn duty_words(duty: Duty) -> &'static str {
    match duty {
        Duty::Light => "light duty",
        Duty::Ordinary => "ordinary duty",
        Duty::Heavy => "heavy duty",
        Duty::NotHard => "not hard usage",
        Duty::Hard => "hard usage",
        Duty::ExtraHard => "extra-hard usage",
    }
}

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut open: [OpenKinds; STRAINS.len()] = Default::default();
    for run in runs(survey) {
        for (strain, open) in STRAINS.iter().zip(&mut open) {
            judge(survey, &run, strain, open, findings);
        }
    }
}

fn judge(
    survey: &Survey<'_>,
    run: &Run<'_>,
    strain: &Strain,
    open: &mut OpenKinds,
    findings: &mut Vec<Finding>,
) {
    let cordage = run.cordage.get().copied();
    let stands = |zone: &Zone| cordage.and_then(|cordage| (strain.stands)(run, cordage, zone));
    let hard = |zone: &Zone| (strain.is_asked)(zone) && stands(zone) != Some(true);
    let Some(zone) = run.zone(survey, hard) else {
        return;
    };
    let demand = place((strain.at)(zone), demand_note(strain, zone));
    match cordage {
        Some(cordage) if stands(zone) == Some(false) => {
            findings.push(too_weak(survey, run, cordage, strain, demand, zone));
        }
        _ => open.add(
            run,
            &RULE,
            |kind| words(run, strain, kind),
            Some(demand),
            findings,
        ),
    }
}

fn demand_note(strain: &Strain, zone: &Named<Zone>) -> String {
    match zone.duty.get() {
        Some(duty) if strain.kind == "duty" => {
            format!("zone {}: {} duty", zone.name.value, duty.word())
        }
        _ => format!("zone {}: {}", zone.name.value, strain.kind),
    }
}

fn too_weak(
    survey: &Survey<'_>,
    run: &Run<'_>,
    cordage: &Cordage,
    strain: &Strain,
    demand: Place,
    zone: &Zone,
) -> Finding {
    let what = match strain.kind {
        "duty" => format!(
            "{} ({}), too light for its place",
            cordage.name,
            duty_words(cordage.service.duty)
        ),
        _ => format!("{}, which is not made for {}", cordage.name, strain.words),
    };
    let headline = format!("{} is {what}: {}", run.describe(survey), strain.harm);
    let other = replacement(survey, run, |other| {
        STRAINS.iter().all(|strain| {
            !(strain.is_asked)(zone) || (strain.stands)(run, other, zone) == Some(true)
        })
    });
    let advice = match other {
        Some(other) => format!("Fit {other} in its place, or {}.", strain.protect),
        None => format!(
            "No cordage of the tables stands all that the zone asks: {}.",
            strain.protect
        ),
    };
    let scale = Citation::common_practice("classes of use of both practices on one scale");
    run.broken(survey, &RULE, headline, cordage.service.citation.clone())
        .also((strain.kind == "duty").then_some(scale))
        .above([demand])
        .advice(advice)
        .kind(strain.kind)
        .finish()
}

fn words(run: &Run<'_>, strain: &Strain, kind: &str) -> OpenWords {
    let (why, advice) = match run.cordage.get() {
        Some(cordage) => (
            format!("no table says so of {}", cordage.name),
            format!(
                "Ask its maker, and write `service: {{{}: yes}}` or `no` as the data sheet says.",
                strain.kind
            ),
        ),
        None => (
            format!("its cordage {}", absence(run.cordage)),
            "Write the cordage type that is printed on the jacket.".into(),
        ),
    };
    OpenWords {
        headline: format!(
            "whether {kind} is made for {} cannot be said: {why}",
            strain.words
        ),
        basis: run.cordage.get().map_or_else(
            || Citation::common_practice("class of use of the cordage"),
            |cordage| cordage.service.citation.clone(),
        ),
        advice,
    }
}
