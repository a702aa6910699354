//! `jacket-smoke`: is a cord halogen-free where the zone asks for it?

use crate::analysis::{Analysis, absence, field_or_name, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Level};
use crate::model::places::Zone;
use crate::model::text::YesNo;
use crate::model::value::Named;
use crate::rules::illegible::Illegible;
use crate::rules::rule;
use crate::tables::cordage::{Cordage, Insulation};

use super::open_kinds::{OpenKinds, OpenWords};
use super::replacement::replacement;
use super::run::{Run, held_back, runs};

rule!(
    "jacket-smoke",
    Jackets,
    Error,
    "A jacket that gives off acid gas and dense smoke in a fire, where the zone asks for halogen-free."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut open, mut illegible) = (OpenKinds::default(), Illegible::default());
    let asked = |zone: &Zone| Some(("halogen-free", zone.halogen_free.written().err()?));
    for run in runs(analysis) {
        run.ask(analysis, (&RULE, &mut illegible), asked);
        let Some(zone) = demanding_zone(analysis, &run) else {
            continue;
        };
        let free = run.cordage.known().map(|cordage| is_free(&run, cordage));
        match (free, run.cordage.known()) {
            (Some(Some(true)), _) => {}
            (Some(Some(false)), Some(cordage)) => {
                findings.push(smokes(analysis, &run, cordage, zone));
            }
            _ => {
                let demand = place(demand_span(zone), demand_note(zone));
                let words = |kind: &str| words(&run, kind);
                open.add(analysis, &run, &RULE, words, Some(demand));
            }
        }
    }
    findings.extend(open.findings());
    findings.extend(illegible.findings());
}

fn demanding_zone<'a>(analysis: &Analysis<'a>, run: &Run<'a>) -> Option<&'a Named<Zone>> {
    run.zone(analysis, |zone| zone.halogen_free.requires())
}

fn is_free(run: &Run<'_>, cordage: &Cordage) -> Option<bool> {
    run.serves(cordage.service.halogen_free, |stated| {
        stated
            .halogen_free
            .known()
            .copied()
            .map(|YesNo(is_free)| is_free)
    })
}

fn demand_span(zone: &Named<Zone>) -> crate::source::Span {
    field_or_name(&zone.halogen_free, &zone.name)
}

fn demand_note(zone: &Named<Zone>) -> String {
    format!("zone {} asks for halogen-free", zone.name.value)
}

fn acid_gas() -> Citation {
    Citation::new(
        "IEC 60754-1",
        "halogen acid gas content",
        "edition not established",
        Confidence::OneCopy,
    )
}

fn smokes(
    analysis: &Analysis<'_>,
    run: &Run<'_>,
    cordage: &Cordage,
    zone: &Named<Zone>,
) -> Finding {
    let headline = format!(
        "{} ({}) is not halogen-free, which zone {} asks for: in a fire its smoke blinds people there and burns their lungs",
        run.describe(analysis),
        cordage.name,
        zone.name.value
    );
    let other = replacement(analysis, run, |other| {
        other.service.halogen_free == Some(true)
    });
    let other = other.unwrap_or_else(|| "a halogen-free cord".into());
    run.broken(analysis, &RULE, headline, acid_gas())
        .level(level(cordage))
        .also([cordage.service.citation.clone()])
        .above([place(demand_span(zone), demand_note(zone))])
        .advice(format!("Fit {other} in its place."))
        .finish()
}

/// That PVC holds chlorine needs no table; the rest rests on the table's word.
fn level(cordage: &Cordage) -> Level {
    match cordage.insulation {
        Insulation::Pvc70 | Insulation::Pvc90 => RULE.level,
        _ => held_back(RULE.level, &cordage.service.citation),
    }
}

fn words(run: &Run<'_>, kind: &str) -> OpenWords {
    let (why, advice) = match run.cordage.known() {
        Some(cordage) => (
            format!("its type {} may be made either way", cordage.name),
            "Ask its maker, and write `service: {halogen-free: yes}` or `no` as the data sheet says.",
        ),
        None => (
            format!("its cordage {}", absence(run.cordage)),
            "Write the cordage type that is printed on the jacket.",
        ),
    };
    OpenWords {
        headline: format!("is {kind} halogen-free? Open: {why}"),
        basis: acid_gas(),
        advice: advice.into(),
    }
}
