//! `jacket-too-hot`: does the air alone bring the cord to its limit?

use crate::analysis::{Analysis, absence, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::model::value::Spanned;
use crate::quantity::{Quantity, Temperature};
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::cordage::{self, Cordage};

use super::open_kinds::{OpenKinds, OpenWords};
use super::replacement::replacement;
use super::run::{Run, held_back, runs};

rule!(
    "jacket-too-hot",
    Jackets,
    Error,
    "Air as hot as the cord's insulation may get: it softens without any load, and live parts come bare."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let coolest = coolest_limit();
    let mut open = OpenKinds::default();
    let mut unsaid = ToldOnce::default();
    for run in runs(analysis) {
        let Some(air) = run.air(analysis) else {
            no_ambient(analysis, &run, &mut unsaid);
            continue;
        };
        match run.cordage.known() {
            Some(cordage) => too_hot(analysis, &run, cordage, air, findings),
            // Air below what the least of all cordages bears is right for any of them.
            None if coolest.is_some_and(|coolest| air.value < coolest) => {}
            None => {
                let words = |kind: &str| OpenWords {
                    headline: format!(
                        "does {kind} bear air at {}? Wanted: its cordage, which {}",
                        air.value.show(),
                        absence(run.cordage)
                    ),
                    basis: basis_of_all(),
                    advice: "Write the cordage type that is printed on the jacket.".into(),
                };
                let air = place(air.span, "the air");
                open.add(analysis, &run, &RULE, words, Some(air));
            }
        }
    }
    findings.extend(open.findings());
    findings.extend(unsaid.findings());
}

/// What the least of all cordages bears.
fn coolest_limit() -> Option<Temperature> {
    let limits = cordage::all()
        .iter()
        .map(|cordage| cordage.ambient_limit().value);
    limits.reduce(|a, b| if b < a { b } else { a })
}

fn basis_of_all() -> Citation {
    let first = cordage::all().first();
    first.map_or_else(
        || Citation::common_practice("conductor temperature of the cordage"),
        |cordage| cordage.citation.clone(),
    )
}

fn too_hot(
    analysis: &Analysis<'_>,
    run: &Run<'_>,
    cordage: &Cordage,
    air: Spanned<Temperature>,
    findings: &mut Vec<Finding>,
) {
    let limit = run.limit(cordage);
    if air.value < limit.value {
        return;
    }
    let (air_shown, limit_shown) = (air.value.show(), limit.value.show());
    let headline = format!(
        "{} softens even without load, and live parts may come bare: it lies in air at {air_shown}, and its {} bears {limit_shown} at most",
        run.describe(analysis),
        cordage.name
    );
    let level = held_back(RULE.level, &limit.citation);
    let other = replacement(analysis, run, |other| {
        other.ambient_limit().value > air.value
    });
    let advice = match other {
        Some(other) => {
            format!("Fit {other} in its place, or lead it through air below {limit_shown}.")
        }
        None => {
            format!(
                "Lead it through air below {limit_shown}; no cordage of the tables bears this and carries its load."
            )
        }
    };
    let measure = Measure::above(air.value, limit.value);
    let draft = run
        .broken(analysis, &RULE, headline, limit.citation)
        .level(level)
        .measured(measure)
        .above([place(air.span, format!("air at {air_shown}"))])
        .working([format!(
            "{air_shown} − {limit_shown} leaves no rise for any current"
        )])
        .advice(advice);
    findings.push(draft.finish());
}

/// A rack or zone that nobody finds is in air that nobody knows.
fn nobody_finds(astray: Fact) -> Draft {
    let headline = format!(
        "do the cords at {} bear the air there? Open: no such place is on record",
        astray.owner
    );
    let note = "not decided: no such place is known";
    Draft::new(&RULE, headline, astray.span, note, basis_of_all())
        .about([astray.owner.clone()])
        .wants([astray])
        .kind("astray")
        .advice("Correct the name of the rack or zone, or define it.")
}

/// One word for each zone, or for the site, that has no temperature.
fn no_ambient(analysis: &Analysis<'_>, run: &Run<'_>, unsaid: &mut ToldOnce<Span>) {
    let astray = run.element(analysis).and_then(|id| analysis.astray(id));
    if let Some(astray) = astray {
        let told = unsaid.tell(astray.span, || nobody_finds(astray));
        told.suffered_by([run.whole(analysis).clone()]);
        return;
    }
    let zone = run.zone(analysis, |zone| zone.ambient.known().is_none());
    let sufferer = zone.map(|_| run.whole(analysis).clone());
    let gap = analysis.air_words(zone);
    let Some(at) = gap.at else {
        return;
    };
    let how = gap.how;
    let told = unsaid.tell(at, || {
        let headline = format!(
            "do the cords {} bear the air there? Wanted: its temperature, which {how}",
            gap.whose
        );
        let note = format!("not decided: the ambient {how}");
        Draft::new(&RULE, headline, at, note, basis_of_all())
            .wants(gap.fact)
            .about([gap.about])
            .advice("Write the hottest air at the cords as `ambient`, here or for the site.")
    });
    told.suffered_by(sufferer);
}
