//! The words of `coupler-mismatch`.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::graph::ElementId;
use crate::quantity::Quantity;
use crate::rules::Draft;
use crate::source::Span;
use crate::tables::couplers::Side;
use crate::tables::mating::Mate;

use super::super::halves::{Half, Owner, borne_by};
use super::super::stress::{Stress, made_for};
use super::advice::advice;
use super::blame::Blame;
use super::{Apart, RULE};

/// Two halves that do not go together.
pub(super) fn apart(analysis: &Analysis<'_>, apart: &Apart<'_>, blame: Blame, at: Span) -> Finding {
    let id = apart.pair.id;
    let words = analysis.words();
    let (verb, why) = match &apart.answer {
        Mate::Unknown { why, .. } => ("", why.said_in(words)),
        Mate::DoesNotFit { why, .. } => ("does not enter", why.said_in(words)),
        Mate::Fits { .. } => ("enters", "".into()),
    };
    let is_open = matches!(apart.answer, Mate::Unknown { .. });
    let headline = match is_open {
        true => asked(analysis, apart, &why),
        false => format!(
            "{}{}; forced, it may leave live parts to touch",
            headline(analysis, apart, verb),
            voltage(analysis, apart, blame).unwrap_or_default()
        ),
    };
    let own = place(
        apart.own.coupler.span,
        format!("{}: {why}", apart.own.name()),
    );
    let mate = apart.mate.place(analysis, "");
    let note = note_at(at, &own, &mate, &apart.own);
    let draft = Draft::new(&RULE, headline, at, note, apart.answer.citation().clone());
    let draft = shown(draft, analysis, apart, at, [own, mate])
        .also(hour(apart, blame))
        .about([analysis.full_name(id)])
        .advice(advice(analysis, apart, blame));
    match is_open {
        true => draft.open().finish(),
        false => {
            let basis = std::slice::from_ref(apart.answer.citation());
            draft.level(borne_by(RULE.level, basis)).finish()
        }
    }
}

fn headline(analysis: &Analysis<'_>, apart: &Apart<'_>, verb: &str) -> String {
    let (cord, what) = (analysis.describe(apart.pair.id), apart.mate.what(analysis));
    let (own, mate) = (apart.own.name(), apart.mate.name());
    match apart.own.owner {
        Owner::Connector(_) => {
            format!("{cord} cannot feed {what}: its connector {own} {verb} {mate}")
        }
        _ => format!("{cord} cannot be plugged into {what}: its plug {own} {verb} {mate}"),
    }
}

/// The question where no table knows whether the two go together.
fn asked(analysis: &Analysis<'_>, apart: &Apart<'_>, why: &str) -> String {
    let (cord, what) = (analysis.describe(apart.pair.id), apart.mate.what(analysis));
    let (own, mate) = (apart.own.name(), apart.mate.name());
    let end = match apart.own.owner {
        Owner::Connector(_) => "connector",
        _ => "plug",
    };
    format!("does {end} {own} of {cord} enter {what} ({mate})? Open: {why}")
}

/// What is to be known of the voltage before anything is changed.
fn voltage(analysis: &Analysis<'_>, apart: &Apart<'_>, blame: Blame) -> Option<String> {
    let rated = apart.mate.coupler.value.voltage.as_ref()?.value;
    let there = Stress::at(analysis, apart.pair.id)?.voltage.show();
    match blame {
        Blame::Own | Blame::NotKnown => None,
        Blame::Mate => Some(format!(
            ", which is made for {} but has {there}",
            made_for(rated)
        )),
        Blame::Both => Some(format!(", and neither is made for the {there} there")),
    }
}

/// What says for which voltage the mate is made, where that decides.
fn hour(apart: &Apart<'_>, blame: Blame) -> Option<Citation> {
    let rated = apart.mate.coupler.value.voltage.as_ref();
    let rated = rated.filter(|_| matches!(blame, Blame::Mate | Blame::Both));
    rated.map(|rated| rated.citation.clone())
}

fn note_at(at: Span, own: &Place, mate: &Place, half: &Half<'_>) -> String {
    if at == own.span {
        own.note.clone()
    } else if at == mate.span {
        mate.note.clone()
    } else {
        let end = match half.owner {
            Owner::Connector(_) => "connector",
            _ => "plug",
        };
        format!("brings {end} {}", half.name())
    }
}

/// The places in electrical order; the one that is the main place drops out of them by itself.
fn shown(
    draft: Draft,
    analysis: &Analysis<'_>,
    apart: &Apart<'_>,
    at: Span,
    [own, mate]: [Place; 2],
) -> Draft {
    let cord = analysis.hop(apart.pair.id);
    let is_mate = at == mate.span;
    match apart.own.owner {
        Owner::Connector(_) if is_mate => draft.above([cord, own]).kind("connector"),
        Owner::Connector(_) => draft.above([cord]).below([own, mate]).kind("connector"),
        _ if is_mate => draft.below([cord, own]).kind("plug"),
        _ => draft.above([mate, cord]).below([own]).kind("plug"),
    }
}

/// The half itself is impossible: a plug that is written as a connector, or the reverse.
pub(super) fn wrong_half(
    analysis: &Analysis<'_>,
    id: ElementId,
    half: &Half<'_>,
    wanted: Side,
) -> Finding {
    let (is, should) = match wanted {
        Side::Contacts => ("pins", "contacts"),
        Side::Pins => ("contacts", "pins"),
    };
    let name = half.name();
    let headline = format!(
        "{} is given as {name}, which has {is}, and {should} belong there: nobody can tell what is fitted",
        half.what(analysis)
    );
    let citation = half.coupler.value.citation.clone();
    Draft::new(&RULE, headline, half.coupler.span, format!("{name} has {is}"), citation)
        .above([analysis.hop(id)])
        .about([analysis.full_name(id)])
        .kind("wrong-half")
        .advice("Look at the part in hand and write the mating half: in each IEC 60320 pair the odd number has contacts, the even one pins.")
        .finish()
}
