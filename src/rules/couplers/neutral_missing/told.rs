//! The words of `neutral-missing`.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::graph::ElementId;
use crate::model::circuits::{Circuit, Pole};
use crate::model::pdus::{Bank, PduModel};
use crate::model::value::{Id, Named};
use crate::rules::Draft;
use crate::rules::couplers::halves::{Half, Owner, borne_by};
use crate::tables::couplers::Neutral;

use super::RULE;

/// The model contradicts itself: its plug has no pole for the neutral.
pub(super) fn plug(model: &Named<PduModel>) -> Option<Draft> {
    let bank = model.wants_neutral()?;
    let plug = model.plug.given()?;
    if plug.value.poles.neutral != Neutral::None {
        return None;
    }
    let (name, plug_name) = (&model.name.value, &plug.value.name);
    let headline = format!(
        "outlets of PDU model {name} are dead, or at a voltage that burns equipment: they want a neutral, and its plug {plug_name} has none"
    );
    let source = plug.value.citation.clone();
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = format!("{plug_name}: no pole for the neutral");
    let draft = Draft::new(&RULE, headline, plug.span, note, source)
        .level(level)
        .below(wants(bank))
        .about([name.clone()])
        .kind("plug");
    Some(draft.advice("Do not switch on. Read the nameplate, and correct the plug or the banks."))
}

fn wants(bank: &Named<Bank>) -> Option<crate::finding::Place> {
    let between = bank.between.given()?;
    let note = format!("bank {} wants {}", bank.name.value, between.value.show());
    Some(place(between.span, note))
}

pub(super) fn receptacle(
    analysis: &Analysis<'_>,
    id: ElementId,
    half: &Half<'_>,
    bank: &Named<Bank>,
) -> Finding {
    let source = half.coupler.value.citation.clone();
    let what = half.what(analysis);
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = format!("{}: no pole for the neutral", half.name());
    let subject = format!("{what} ({}) has no neutral", half.name());
    let draft = Draft::new(
        &RULE,
        headline(analysis, id, &subject),
        half.coupler.span,
        note,
        source,
    );
    let draft = draft.level(level).kind(match half.owner {
        Owner::Receptacle(_) => "receptacle",
        _ => "outlet",
    });
    finished(analysis, id, bank, draft)
}

pub(super) fn circuit_without(
    analysis: &Analysis<'_>,
    id: ElementId,
    circuit: Id<Circuit>,
    bank: &Named<Bank>,
) -> Option<Finding> {
    let circuit = &analysis.model.circuits[circuit];
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
    let draft = Draft::new(&RULE, headline(analysis, id, &subject), span, note, source);
    Some(finished(analysis, id, bank, draft.kind("circuit")))
}

pub(super) fn outlet_without(
    analysis: &Analysis<'_>,
    id: ElementId,
    bank: &Named<Bank>,
) -> Finding {
    let subject = "what it is plugged into lies between two lines";
    let span = analysis.name(id).span;
    let source = Citation::marked("poles as given");
    let draft = Draft::new(
        &RULE,
        headline(analysis, id, subject),
        span,
        "no neutral here",
        source,
    );
    finished(analysis, id, bank, draft.kind("feed"))
}

fn headline(analysis: &Analysis<'_>, id: ElementId, subject: &str) -> String {
    format!(
        "outlets of {} are dead, or at a voltage that burns equipment: they want a neutral, and {subject}",
        analysis.describe(id)
    )
}

fn finished(analysis: &Analysis<'_>, id: ElementId, bank: &Named<Bank>, draft: Draft) -> Finding {
    draft
        .below([analysis.hop(id)])
        .below(wants(bank))
        .about([analysis.full_name(id)])
        .advice("Do not switch on. Have the circuit rewired with a neutral, or use a PDU made for lines alone.")
        .finish()
}
