//! `polarity-unassured`: is a fuse or breaker that opens one pole sure to be in the line?

use crate::finding::{Finding, Level};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, place};
use crate::tables::Practice;
use crate::tables::mating::{Mate, Polarity};

use super::halves::{Pair, borne_by, pairs};

rule!(
    "polarity-unassured",
    Couplers,
    Note up to Error,
    "A reversible plug ahead of protection that may open one pole only: it may sit in the neutral and leave equipment live."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for (id, _) in survey.graph.elements() {
        // Between two lines there is nothing to swap.
        if survey.graph.conductor(id, Pole::N).is_none() {
            continue;
        }
        for pair in pairs(survey, id) {
            let Some(Mate::Fits {
                polarity, remark, ..
            }) = pair.mate()
            else {
                continue;
            };
            findings.extend(match polarity {
                Polarity::Kept => None,
                Polarity::NotAssured => reversible(survey, &pair),
                Polarity::Reversed => swapped(survey, &pair, remark),
            });
        }
    }
}

/// A fuse or breaker below, and where it is.
fn protection_below(survey: &Survey<'_>, id: ElementId) -> Option<(String, Span)> {
    survey
        .graph
        .below(id)
        .map(ElementId)
        .find_map(|at| match survey.graph.kind(at) {
            ElementKind::Bank(..) => {
                survey.graph.conductor(at, Pole::N)?;
                let breaker = survey.breaker_rating(at)?;
                Some((
                    format!("the breaker of {}", survey.describe(at)),
                    breaker.span,
                ))
            }
            ElementKind::Cord(cord) => {
                let fuse = survey.graph.cord_type(survey.model, cord)?.fuse.span()?;
                Some((format!("the plug fuse of {}", survey.describe(at)), fuse))
            }
            _ => None,
        })
}

fn reversible(survey: &Survey<'_>, pair: &Pair<'_>) -> Option<Finding> {
    let (protection, at) = protection_below(survey, pair.id)?;
    let (contacts, pins) = pair.both()?;
    let earth = match survey.practice() {
        Some(Practice::Nec) => "ground",
        _ => "earth",
    };
    let headline = format!(
        "{} ({}) can be plugged in either way round: if {protection} opens one pole only, off may not be dead. Test both poles to {earth} before work",
        pins.what(survey),
        pins.name()
    );
    let note = format!("{}: line and neutral are not told apart", pins.name());
    let source = pair.mate()?.citation().clone();
    Some(
        Draft::new(&RULE, headline, pins.coupler.span, note, source)
            .above([contacts.place(survey, "")])
            .below([place(at, protection.clone())])
            .about([survey.full_name(pair.id)])
            .kind("reversible")
            .advice(format!("Test both poles to {earth} before work. For good: protection that opens both poles, or a plug that goes in one way only."))
            .finish(),
    )
}

fn swapped(survey: &Survey<'_>, pair: &Pair<'_>, remark: Option<&str>) -> Option<Finding> {
    let (contacts, pins) = pair.both()?;
    let headline = format!(
        "{} ({}) meets {} ({}) with line and neutral swapped: switches and fuses sit in the neutral, and equipment that is off stays live",
        pins.what(survey),
        pins.name(),
        contacts.what(survey),
        contacts.name()
    );
    let source = pair.mate()?.citation().clone();
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = remark.unwrap_or("line and neutral are swapped");
    Some(
        Draft::new(
            &RULE,
            headline,
            pins.coupler.span,
            format!("{}: {note}", pins.name()),
            source,
        )
        .level(level)
        .above([contacts.place(survey, "")])
        .below([survey.hop(pair.id)])
        .about([survey.full_name(pair.id)])
        .kind("swapped")
        .advice("Take it out of use: what is switched off there may still be live. Have the plug of this country fitted.")
        .finish(),
    )
}
