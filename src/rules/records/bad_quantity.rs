//! `bad-quantity`: is every value what its key wants?

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::graph::LinkFault;
use crate::model::fault::{Fault, Noted};
use crate::model::value::Name;
use crate::rules::sharers::Sharers;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::couplers::Side;
use crate::tables::words::{Phrase, Words};

use super::written;

rule!(
    "bad-quantity",
    Records,
    Error,
    "A value that cannot be meant: no unit, the wrong one, or out of all proportion. A slip between mA and A is a factor of 1000."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut sharers = Sharers::of(analysis);
    let found =
        written::faults(analysis).filter_map(|noted| finding(analysis, &mut sharers, noted));
    findings.extend(found);
    for fault in &analysis.graph.faults {
        if let LinkFault::PoleMissing {
            span,
            owner,
            pole,
            feeder,
        } = fault
        {
            findings.push(pole_missing(*span, owner, pole, feeder));
        }
    }
}

fn finding(analysis: &Analysis<'_>, sharers: &mut Sharers<'_>, noted: &Noted) -> Option<Finding> {
    match &noted.fault {
        Fault::BadValue {
            span,
            headline,
            advice,
            edit,
        } => {
            let headline = match written::whose(noted) {
                Some(whose) => format!("{whose}: {headline}"),
                None => headline.clone(),
            };
            let headline = headline + written::fallout(analysis, noted);
            let draft = Draft::new(
                &RULE,
                headline,
                *span,
                "counts as not known",
                written::format(),
            );
            let mut draft = written::told(draft, sharers, noted).advice(advice.clone());
            if let Some((span, right)) = edit {
                draft = draft.edit(*span, right.clone());
            }
            Some(draft.finish())
        }
        Fault::Trap {
            span,
            text,
            taken_for,
        } => {
            let headline = format!(
                "the name `{text}` has no quotes: it is read here as it stands, but other readers of YAML take it for {taken_for}, and the two records then differ"
            );
            let note = format!("elsewhere {taken_for}");
            let basis = Citation::common_practice("readers of YAML 1.1 and 1.2 differ here");
            let draft = Draft::new(&RULE, headline, *span, note, basis)
                .level(Level::Warning)
                .kind("trap");
            Some(
                written::told(draft, sharers, noted)
                    .advice(format!("Write \"{text}\" in quotes."))
                    .edit(*span, format!("\"{text}\""))
                    .finish(),
            )
        }
        Fault::OtherHalf {
            span,
            text,
            wanted,
            place,
            right,
        } => Some(other_half(
            sharers,
            noted,
            (*span, text),
            (*wanted, *place, right),
            analysis.words(),
        )),
        _ => None,
    }
}

fn other_half(
    sharers: &mut Sharers<'_>,
    noted: &Noted,
    (span, text): (Span, &Name),
    (wanted, place, right): (Side, Phrase, &str),
    words: &Words,
) -> Finding {
    let place = place.said_in(words);
    let (written, has, lacks) = match wanted {
        Side::Contacts => ("plug", "pins", "contacts"),
        Side::Pins => (words.socket, "contacts", "pins"),
    };
    let whose = written::whose(noted).map_or_else(String::new, |whose| format!("{whose}: "));
    let headline = format!(
        "{whose}`{text}` is the {written}, with {has}, and {place} has {lacks}: whoever orders or looks for it by this name gets the wrong half"
    );
    let note = format!("read as {place} of that face");
    let draft = Draft::new(&RULE, headline, span, note, written::format())
        .level(Level::Warning)
        .kind("half");
    let advice = format!("Write `{right}`, or put the part that is there where it belongs.");
    written::told(draft, sharers, noted).advice(advice).finish()
}

fn pole_missing(span: Span, owner: &Name, pole: &str, feeder: &Name) -> Finding {
    let headline = format!(
        "circuit {owner} takes pole {pole}, which supply {feeder} does not have: what is connected to that pole gets no voltage, or another than planned"
    );
    let note = format!("supply {feeder} has no {pole}");
    Draft::new(&RULE, headline, span, note, written::format())
        .about([owner.as_str(), pole])
        .kind("pole")
        .advice(format!(
            "Take a pole that `system` of {feeder} has, or correct `system`."
        ))
        .finish()
}
