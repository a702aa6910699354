//! `neutral-missing`: does a PDU with line-to-neutral outlets get a neutral?

use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::graph::{ElementId, ElementKind, PduFeed};
use crate::model::circuits::{Circuit, Pole};
use crate::model::pdus::{Bank, Pdu, PduModel};
use crate::model::value::{Id, Named};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};
use crate::tables::couplers::Neutral;

use super::halves::{Half, Owner, borne_by, pairs};

rule!(
    "neutral-missing",
    Couplers,
    Error,
    "Outlets between line and neutral where no neutral arrives: they are dead, or float to a voltage that burns equipment."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for model in survey.model.pdu_models.items() {
        findings.extend(plug(model));
    }
    for (id, element) in survey.graph.elements() {
        if let ElementKind::Pdu(pdu) = element.kind {
            findings.extend(feed(survey, id, pdu));
        }
    }
}

/// The first bank that wants a neutral.
fn wanting(model: &PduModel) -> Option<&Named<Bank>> {
    let mut banks = model.banks.items().iter();
    banks.find(|bank| {
        bank.between
            .get()
            .is_some_and(|between| between.has_neutral())
    })
}

/// The model contradicts itself: its plug has no pole for the neutral.
fn plug(model: &Named<PduModel>) -> Option<Finding> {
    let bank = wanting(model)?;
    let plug = model.plug.given()?;
    if plug.value.poles.neutral != Neutral::None {
        return None;
    }
    let (name, plug_name) = (&model.name.value, &plug.value.name);
    let headline = format!(
        "PDU model {name} has outlets between line and neutral, and its plug {plug_name} has no neutral: those outlets are dead, or at the wrong voltage"
    );
    let source = plug.value.citation.clone();
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = format!("{plug_name}: no pole for the neutral");
    let draft = Draft::new(&RULE, headline, plug.span, note, source)
        .level(level)
        .below(wants(bank))
        .about([name.clone()])
        .kind("plug");
    Some(
        draft
            .advice("Correct the plug or the banks by the nameplate; do not use the PDU before.")
            .finish(),
    )
}

fn wants(bank: &Named<Bank>) -> Option<crate::finding::Place> {
    let between = bank.between.given()?;
    let note = format!("bank {} wants {}", bank.name.value, between.value.show());
    Some(place(between.span, note))
}

/// The plug could bring a neutral, but what it is plugged into has none.
fn feed(survey: &Survey<'_>, id: ElementId, pdu: Id<Pdu>) -> Option<Finding> {
    let model = survey.graph.pdu_model(survey.model, pdu)?;
    let bank = wanting(model)?;
    if model.plug.get()?.poles.neutral == Neutral::None {
        return None;
    }
    let contacts = pairs(survey, id).find_map(|pair| pair.contacts);
    let dry = contacts.filter(|half| half.coupler.value.poles.neutral == Neutral::None);
    if let Some(half) = dry {
        return Some(receptacle(survey, id, &half, bank));
    }
    let feeder = survey.graph.element(id).feeder?;
    let poles = survey.graph.conductors_of(feeder);
    let is_dry = !poles.is_empty() && survey.graph.conductor(feeder, Pole::N).is_none();
    match survey.graph.links.pdu_feeds[pdu.index()]? {
        PduFeed::Circuit(circuit) => circuit_without(survey, id, circuit, bank).filter(|_| is_dry),
        PduFeed::Outlet(..) | PduFeed::Cord(..) => is_dry.then(|| outlet_without(survey, id, bank)),
    }
}

fn receptacle(survey: &Survey<'_>, id: ElementId, half: &Half<'_>, bank: &Named<Bank>) -> Finding {
    let source = half.coupler.value.citation.clone();
    let what = half.what(survey);
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = format!("{}: no pole for the neutral", half.name());
    let subject = format!("{what} ({}) has no neutral", half.name());
    let draft = Draft::new(
        &RULE,
        headline(survey, id, &subject),
        half.coupler.span,
        note,
        source,
    );
    let draft = draft.level(level).kind(match half.owner {
        Owner::Receptacle(_) => "receptacle",
        _ => "outlet",
    });
    finished(survey, id, bank, draft)
}

fn circuit_without(
    survey: &Survey<'_>,
    id: ElementId,
    circuit: Id<Circuit>,
    bank: &Named<Bank>,
) -> Option<Finding> {
    let circuit = &survey.model.circuits[circuit];
    // A pole that the supply does not have is another fault.
    if circuit.poles.iter().any(|pole| pole.value == Pole::N) {
        return None;
    }
    let words: Vec<&str> = circuit.poles.iter().map(|pole| pole.value.word()).collect();
    let words = words.join(", ");
    let subject = format!(
        "circuit {} brings {words} and no neutral",
        circuit.name.value
    );
    let span = circuit.poles.last()?.span;
    let source = Citation::marked("poles of the circuit as given");
    let note = format!("{words}: no N");
    let draft = Draft::new(&RULE, headline(survey, id, &subject), span, note, source);
    Some(finished(survey, id, bank, draft.kind("circuit")))
}

fn outlet_without(survey: &Survey<'_>, id: ElementId, bank: &Named<Bank>) -> Finding {
    let subject = "what it is plugged into lies between two lines";
    let span = survey.name(id).span;
    let source = Citation::marked("poles as given");
    let draft = Draft::new(
        &RULE,
        headline(survey, id, subject),
        span,
        "no neutral here",
        source,
    );
    finished(survey, id, bank, draft.kind("feed"))
}

fn headline(survey: &Survey<'_>, id: ElementId, subject: &str) -> String {
    format!(
        "{} has outlets between line and neutral, and {subject}: those outlets are dead, or at the wrong voltage",
        survey.describe(id)
    )
}

fn finished(survey: &Survey<'_>, id: ElementId, bank: &Named<Bank>, draft: Draft) -> Finding {
    draft
        .below([survey.hop(id)])
        .below(wants(bank))
        .about([survey.full_name(id)])
        .advice("Do not switch on. Have the circuit rewired with a neutral, or use a PDU made for lines alone.")
        .finish()
}
