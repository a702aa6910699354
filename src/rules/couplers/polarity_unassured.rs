//! `polarity-unassured`: is a fuse or breaker that opens one pole sure to be in the line?

use crate::analysis::{Analysis, place};
use crate::finding::{Finding, Level};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::mating::{Mate, Polarity};
use crate::tables::words::Phrase;

use super::halves::{Pair, borne_by, pairs};

rule!(
    "polarity-unassured",
    Couplers,
    Note up to Error,
    "A reversible plug ahead of protection that may open one pole only: it may sit in the neutral and leave equipment live."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (id, _) in analysis.graph.elements() {
        // Between two lines there is nothing to swap.
        if analysis.graph.conductor(id, Pole::N).is_none() {
            continue;
        }
        for pair in pairs(analysis, id) {
            let Some(Mate::Fits {
                polarity, remark, ..
            }) = pair.mate()
            else {
                continue;
            };
            findings.extend(match polarity {
                Polarity::Kept => None,
                Polarity::NotAssured => reversible(analysis, &pair),
                Polarity::Reversed => swapped(analysis, &pair, remark),
            });
        }
    }
}

/// A fuse or breaker below, and where it is.
fn protection_below(analysis: &Analysis<'_>, id: ElementId) -> Option<(String, Span)> {
    analysis
        .graph
        .below(id)
        .map(ElementId)
        .find_map(|at| match analysis.graph.kind(at) {
            ElementKind::Bank(..) => {
                analysis.graph.conductor(at, Pole::N)?;
                let breaker = analysis.breaker_rating(at)?;
                Some((
                    format!("the breaker of {}", analysis.describe(at)),
                    breaker.span,
                ))
            }
            ElementKind::Cord(cord) => {
                let fuse = analysis
                    .graph
                    .cord_type(analysis.model, cord)?
                    .fuse
                    .span()?;
                Some((format!("the plug fuse of {}", analysis.describe(at)), fuse))
            }
            _ => None,
        })
}

fn reversible(analysis: &Analysis<'_>, pair: &Pair<'_>) -> Option<Finding> {
    let (protection, at) = protection_below(analysis, pair.id)?;
    let (contacts, pins) = pair.both()?;
    let earth = analysis.words().earth;
    let headline = format!(
        "{} ({}) can be plugged in either way round: if {protection} opens one pole only, off may not be dead. Test both poles to {earth} before work",
        pins.what(analysis),
        pins.name()
    );
    let note = format!("{}: line and neutral are not told apart", pins.name());
    let source = pair.mate()?.citation().clone();
    Some(
        Draft::new(&RULE, headline, pins.coupler.span, note, source)
            .above([contacts.place(analysis, "")])
            .below([place(at, protection.clone())])
            .about([analysis.full_name(pair.id)])
            .kind("reversible")
            .advice(format!("Test both poles to {earth} before work. For good: protection that opens both poles, or a plug that goes in one way only."))
            .finish(),
    )
}

fn swapped(analysis: &Analysis<'_>, pair: &Pair<'_>, remark: Option<Phrase>) -> Option<Finding> {
    let (contacts, pins) = pair.both()?;
    let headline = format!(
        "{} ({}) meets {} ({}) with line and neutral swapped: switches and fuses sit in the neutral, and equipment that is off stays live",
        pins.what(analysis),
        pins.name(),
        contacts.what(analysis),
        contacts.name()
    );
    let source = pair.mate()?.citation().clone();
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = remark.unwrap_or(Phrase::new("line and neutral are swapped"));
    let note = note.said_in(analysis.words());
    Some(
        Draft::new(
            &RULE,
            headline,
            pins.coupler.span,
            format!("{}: {note}", pins.name()),
            source,
        )
        .level(level)
        .above([contacts.place(analysis, "")])
        .below([analysis.hop(pair.id)])
        .about([analysis.full_name(pair.id)])
        .kind("swapped")
        .advice("Take it out of use: what is switched off there may still be live. Have the plug of this country fitted.")
        .finish(),
    )
}
