//! `jacket-duty`: does the jacket stand the treading, the oil and the wet of its zone?

mod strain;

use crate::analysis::{Analysis, absence, place};
use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::model::places::Zone;
use crate::model::value::Named;
use crate::rules::illegible::Illegible;
use crate::rules::rule;
use crate::tables::cordage::Cordage;

use super::open_kinds::{OpenKinds, OpenWords};
use super::replacement::replacement;
use super::run::{Run, runs};
use strain::{STRAINS, Strain, duty_words};

rule!(
    "jacket-duty",
    Jackets,
    Warning,
    "A jacket too light, or not made for oil or wet, for its place: it wears or swells, and live parts come bare."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut open: [OpenKinds; STRAINS.len()] = Default::default();
    let mut illegible = Illegible::default();
    for run in runs(analysis) {
        for (strain, open) in STRAINS.iter().zip(&mut open) {
            let asked = |zone: &Zone| Some((strain.kind, (strain.is_asked)(zone).err()?));
            run.ask(analysis, (&RULE, &mut illegible), asked);
            judge(analysis, &run, strain, open, findings);
        }
    }
    findings.extend(open.into_iter().flat_map(OpenKinds::findings));
    findings.extend(illegible.findings());
}

fn judge(
    analysis: &Analysis<'_>,
    run: &Run<'_>,
    strain: &Strain,
    open: &mut OpenKinds,
    findings: &mut Vec<Finding>,
) {
    let Some(zone) = hard_zone(analysis, run, strain) else {
        return;
    };
    let demand = place((strain.at)(zone), demand_note(strain, zone));
    match run.cordage.known() {
        Some(cordage) if (strain.stands)(run, cordage, zone) == Some(false) => {
            findings.push(too_weak(analysis, run, cordage, strain, demand, zone));
        }
        _ => {
            let words = |kind: &str| words(run, strain, kind);
            open.add(analysis, run, &RULE, words, Some(demand));
        }
    }
}

/// The first zone of which it is not known that the jacket stands this strain.
fn hard_zone<'a>(
    analysis: &Analysis<'a>,
    run: &Run<'a>,
    strain: &Strain,
) -> Option<&'a Named<Zone>> {
    let cordage = run.cordage.known();
    let stands = |zone: &Zone| cordage.and_then(|cordage| (strain.stands)(run, cordage, zone));
    run.zone(analysis, |zone| {
        (strain.is_asked)(zone) == Ok(true) && stands(zone) != Some(true)
    })
}

fn demand_note(strain: &Strain, zone: &Named<Zone>) -> String {
    match zone.duty.written().ok().flatten().map(|duty| duty.value) {
        Some(duty) if strain.kind == "duty" => {
            format!("zone {}: {} duty", zone.name.value, duty.word())
        }
        _ => format!("zone {}: {}", zone.name.value, strain.kind),
    }
}

fn too_weak(
    analysis: &Analysis<'_>,
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
    let headline = format!("{} is {what}: {}", run.describe(analysis), strain.harm);
    let other = replacement(analysis, run, |other| {
        STRAINS.iter().all(|strain| {
            (strain.is_asked)(zone) == Ok(false) || (strain.stands)(run, other, zone) == Some(true)
        })
    });
    let advice = match other {
        Some(other) => format!("Fit {other} in its place, or {}.", strain.protect),
        None => format!(
            "No cordage of the tables stands all that the zone asks and carries its load there: {}.",
            strain.protect
        ),
    };
    let scale = Citation::common_practice("classes of use of both practices on one scale");
    run.broken(analysis, &RULE, headline, cordage.service.citation.clone())
        .also((strain.kind == "duty").then_some(scale))
        .above([demand])
        .advice(advice)
        .kind(strain.kind)
        .finish()
}

fn words(run: &Run<'_>, strain: &Strain, kind: &str) -> OpenWords {
    let (why, advice) = match run.cordage.known() {
        Some(cordage) => (
            format!("no table answers that for {}", cordage.name),
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
        headline: format!("is {kind} made for {}? Open: {why}", strain.words),
        basis: run.cordage.known().map_or_else(
            || Citation::common_practice("class of use of the cordage"),
            |cordage| cordage.service.citation.clone(),
        ),
        advice,
    }
}
