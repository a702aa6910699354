//! `pdu-too-hot`: is the air at a strip hotter than its maker allows?

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::model::pdus::{Pdu, PduModel};
use crate::model::value::{Field, Id, Named, Spanned};
use crate::quantity::{Quantity, Temperature};
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;

rule!(
    "pdu-too-hot",
    Circuits,
    Error,
    "A strip in air hotter than its maker allows: its contacts and breakers overheat, and it may drop all that it feeds."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut open = ToldOnce::default();
    for (pdu, strip) in analysis.model.pdus.iter() {
        let Some(number) = analysis.graph.links.pdu_models[pdu.index()] else {
            continue;
        };
        let model = &analysis.model.pdu_models[number];
        let limit = match &model.ambient_limit {
            // Its maker says nothing.
            Field::Absent => continue,
            Field::Unreadable(at) => {
                let told = open.tell(*at, || no_limit(model, *at));
                told.suffered_by([strip.name.value.clone()]);
                continue;
            }
            Field::Given(limit) => limit,
        };
        match analysis.ambient_of_pdu(pdu) {
            None => no_air(analysis, pdu, &mut open),
            Some(air) if air.value > limit.value => {
                findings.push(too_hot(analysis, pdu, model, air, limit));
            }
            Some(_) => {}
        }
    }
    findings.extend(open.findings());
}

fn basis() -> Citation {
    Citation::marked("the hottest air that the strip's maker allows")
}

fn too_hot(
    analysis: &Analysis<'_>,
    pdu: Id<Pdu>,
    model: &Named<PduModel>,
    air: Spanned<Temperature>,
    limit: &Spanned<Temperature>,
) -> Finding {
    let name = &analysis.model.pdus[pdu].name.value;
    let (air_shown, limit_shown) = (air.value.show(), limit.value.show());
    let headline = format!(
        "PDU {name} is in air at {air_shown}, and its maker allows {limit_shown}: its contacts and breakers may overheat"
    );
    let note = format!("PDU model {}", model.name.value);
    let advice = format!(
        "Bring the air at the strip down to {limit_shown}, move the strip to a cooler place, or fit one that is made for {air_shown}."
    );
    Draft::new(&RULE, headline, analysis.pdu_choice(pdu), note, basis())
        .above([place(air.span, format!("air at {air_shown}"))])
        .below([place(
            limit.span,
            format!("made for air up to {limit_shown}"),
        )])
        .measured(Measure::above(air.value, limit.value))
        .advice(advice)
        .about([name.clone()])
        .finish()
}

/// One word for each model whose limit cannot be read.
fn no_limit(model: &Named<PduModel>, at: Span) -> Draft {
    let name = &model.name.value;
    let headline = format!(
        "does PDU model {name} bear the air it is in? Open: its `ambient-limit` cannot be read"
    );
    Draft::new(
        &RULE,
        headline,
        at,
        "not decided: the limit cannot be read",
        basis(),
    )
    .wants([Fact::of(model, "ambient-limit", Some(&model.ambient_limit))])
    .kind("limit")
    .about([name.clone()])
    .advice(
        "Write the hottest air that its maker allows, as the nameplate or the data sheet has it.",
    )
}

/// One word for each zone, or for the site, that has no temperature.
fn no_air(analysis: &Analysis<'_>, pdu: Id<Pdu>, open: &mut ToldOnce<Span>) {
    let strip = &analysis.model.pdus[pdu].name;
    let gap = analysis.air_words(analysis.zone_of_pdu(pdu));
    let (at, how) = (gap.at.unwrap_or(strip.span), gap.how);
    let told = open.tell(at, || {
        let headline = format!(
            "do the strips {} bear the air there? Wanted: the temperature of the air, which {how}",
            gap.whose
        );
        let note = format!("not decided: the ambient {how}");
        Draft::new(&RULE, headline, at, note, basis())
            .wants(gap.fact)
            .kind("air")
            .about([gap.about])
            .advice("Write the hottest air at the strips as `ambient`, here or for the site.")
    });
    told.suffered_by([strip.value.clone()]);
}
