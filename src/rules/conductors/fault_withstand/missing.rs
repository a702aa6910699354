//! What is said of a fact for want of which the heat of a short circuit cannot be judged.

use std::borrow::Cow;

use smol_str::SmolStr;

use crate::analysis::Analysis;
use crate::finding::Fact;
use crate::graph::ElementId;
use crate::model::circuits::Breaker;
use crate::model::value::Field;
use crate::source::Span;

use super::super::gaps::{Gap, insulation_fact, lacking, way_facts};
use super::super::naming;
use super::super::source_lack::{ASK_LOOP, Asks, NO_LOOP, landlords_at, loop_fact, source_lack};

/// A fact that is missing, at the thing that should have it.
#[derive(Clone, Copy)]
pub(super) enum Missing {
    /// Prospective fault current, or system, of the source behind which an element stands.
    Source(ElementId),
    /// Size or length of the conductors on the way.
    Way(ElementId),
    /// The insulation of a run.
    Insulation(ElementId),
    /// What a run may carry, which says whether its device guards it against overload.
    Capacity(ElementId),
    /// The curve of a device.
    Curve(ElementId),
    /// What a device lets through.
    LetThrough(ElementId),
    /// From which current an inverse-time device opens at once.
    InstantaneousTrip(ElementId),
}

impl Missing {
    /// The thing that lacks the fact.
    pub fn about(self, analysis: &Analysis<'_>) -> SmolStr {
        match self {
            Self::Source(id) => source_lack(analysis, id, Asks::BothEnds)
                .map_or_else(|| analysis.full_name(id), |lack| lack.about),
            Self::Curve(device) | Self::LetThrough(device) | Self::InstantaneousTrip(device) => {
                naming::device_model(analysis, device)
            }
            Self::Capacity(at) => lacking(analysis, at).0,
            Self::Way(at) | Self::Insulation(at) => naming::owner(analysis, at)
                .map_or_else(|| analysis.full_name(at), |owner| owner.name.value.clone()),
        }
    }

    /// Who suffers from it, where many share the thing that lacks it.
    pub fn sharer(self, analysis: &Analysis<'_>) -> Option<SmolStr> {
        match self {
            Self::Source(_) => None,
            Self::Capacity(at) => lacking(analysis, at).1,
            Self::Way(at)
            | Self::Insulation(at)
            | Self::Curve(at)
            | Self::LetThrough(at)
            | Self::InstantaneousTrip(at) => naming::sharer(analysis, at),
        }
    }

    /// Tells apart what one thing may lack.
    pub fn kind(self) -> &'static str {
        match self {
            Self::Source(_) => "fault-current",
            Self::Way(_) => "conductors",
            Self::Insulation(_) => "insulation",
            Self::Capacity(_) => "capacity",
            Self::Curve(_) => "curve",
            Self::LetThrough(_) => "let-through",
            Self::InstantaneousTrip(_) => "instantaneous-trip",
        }
    }

    /// What is said of it.
    pub fn gap(self, analysis: &Analysis<'_>, about: SmolStr) -> Gap {
        let (span, headline, missing, advice) = match self {
            Self::Source(id) => source(analysis, id),
            Self::Capacity(at) => capacity(analysis, at),
            Self::Curve(device) => curve(analysis, device),
            Self::LetThrough(device) => let_through(analysis, device),
            Self::InstantaneousTrip(device) => instantaneous_trip(analysis, device),
            Self::Insulation(at) => conductors(
                analysis,
                at,
                "the insulation of its conductors is missing",
                "Write down the cordage, or for fixed wiring the insulation.",
            ),
            Self::Way(at) if landlords_at(analysis, at).is_some() => {
                conductors(analysis, at, NO_LOOP, ASK_LOOP)
            }
            Self::Way(at) => conductors(
                analysis,
                at,
                "size or length of its conductors is missing",
                "Write down the size and the length of the conductors.",
            ),
        };
        Gap {
            about,
            kind: self.kind(),
            span,
            headline,
            missing: missing.into_owned(),
            basis: super::basis(),
            advice: advice.into_owned(),
            wants: self.wants(analysis),
        }
    }

    fn wants(self, analysis: &Analysis<'_>) -> Vec<Fact> {
        match self {
            Self::Source(id) => {
                source_lack(analysis, id, Asks::BothEnds).map_or_else(Vec::new, |lack| lack.wants)
            }
            Self::Way(at) => match landlords_at(analysis, at) {
                Some((circuit, figures)) => vec![loop_fact(circuit, figures)],
                None => way_facts(analysis, at),
            },
            Self::Capacity(at) => lacking(analysis, at).3.into_iter().collect(),
            Self::Insulation(at) => insulation_fact(analysis, at).into_iter().collect(),
            Self::Curve(at) => {
                vec![breaker_fact(analysis, at, "curve", |breaker| {
                    &breaker.curve
                })]
            }
            Self::InstantaneousTrip(at) => {
                let trip = || {
                    breaker_fact(analysis, at, "instantaneous", |breaker| {
                        &breaker.instantaneous
                    })
                };
                vec![analysis.unread_trip(at).unwrap_or_else(trip)]
            }
            Self::LetThrough(at) => {
                vec![breaker_fact(analysis, at, "let-through", |breaker| {
                    &breaker.let_through
                })]
            }
        }
    }
}

fn breaker_fact<V>(
    analysis: &Analysis<'_>,
    at: ElementId,
    key: &str,
    field: impl Fn(&Breaker) -> &Field<V>,
) -> Fact {
    let breaker = analysis.breaker(at).and_then(Field::given);
    analysis.breaker_fact(at, key, breaker.map(|breaker| field(&breaker.value)))
}

/// Where the fact should stand, the headline, what is missing in short, and what to write.
type Said = (Span, String, Cow<'static, str>, Cow<'static, str>);

fn source(analysis: &Analysis<'_>, id: ElementId) -> Said {
    let Some(lack) = source_lack(analysis, id, Asks::BothEnds) else {
        let what = "its supply is not known";
        return (
            analysis.place_of(id),
            what.to_owned(),
            what.into(),
            "Write down what feeds it.".into(),
        );
    };
    (
        lack.span,
        format!(
            "do conductors behind {} bear a short circuit? Missing: {}",
            lack.owner, lack.what
        ),
        lack.note,
        lack.advice,
    )
}

fn capacity(analysis: &Analysis<'_>, at: ElementId) -> Said {
    let (_, _, span, _) = lacking(analysis, at);
    let what = naming::run(analysis, at);
    (
        span,
        format!(
            "can a short circuit burn {what}? Missing: what it may carry, and so whether its breaker guards it at all"
        ),
        "what it may carry is not known".into(),
        "Write down what is missing: size, cordage or insulation, and the air temperature; or what the breaker lets through, as its `let-through`.".into(),
    )
}

fn let_through(analysis: &Analysis<'_>, device: ElementId) -> Said {
    let what = naming::describe_device_model(analysis, device);
    (
        analysis.place_of(device),
        format!(
            "can a short circuit burn what is behind the breaker of {what}? It is larger than the conductors carry. Missing: its let-through (data sheet)"
        ),
        "what it lets through is missing".into(),
        "Let-through is the heat that passes before the breaker opens, in A²s. Take it from the maker's data sheet at this fault current and write it as `let-through`; or use conductors that carry the breaker's rated current.".into(),
    )
}

/// What its maker says cannot be read; or nothing is written, and the standard of inverse-time breakers leaves
/// it to the maker.
fn instantaneous_trip(analysis: &Analysis<'_>, device: ElementId) -> Said {
    let what = naming::describe_device_model(analysis, device);
    if let Some(trip) = analysis.unread_trip(device) {
        return (
            trip.span,
            format!(
                "can a short circuit burn what is behind the breaker of {what} before it opens? Open: its `instantaneous` cannot be read"
            ),
            "`instantaneous` cannot be read".into(),
            "Read off the maker's curve from which current on it is sure to open at once, and write it like `instantaneous: 200 A`; where its `curve` says it, take the line out.".into(),
        );
    }
    (
        analysis.place_of(device),
        format!(
            "can a short circuit burn what is behind the breaker of {what} before it opens? Missing: at which current it opens at once (its maker's curve; UL 489 fixes none)"
        ),
        "inverse-time: its instantaneous trip is missing".into(),
        "Read off the maker's curve from which current on it is sure to open at once, and write it like `instantaneous: 200 A`; or use thicker or shorter cords.".into(),
    )
}

fn curve(analysis: &Analysis<'_>, device: ElementId) -> Said {
    let what = naming::describe_device_model(analysis, device);
    (
        analysis.place_of(device),
        format!(
            "can a short circuit burn the conductors behind the breaker of {what} before it opens? Missing: its curve (the letter before its rating)"
        ),
        "the curve is missing".into(),
        "Read the letter before the rated current off the breaker (B, C or D; inverse-time in North America) and write it as its `curve`.".into(),
    )
}

fn conductors(
    analysis: &Analysis<'_>,
    at: ElementId,
    why: &'static str,
    advice: &'static str,
) -> Said {
    let owner = naming::owner(analysis, at);
    let what = owner.map_or_else(|| analysis.describe(at), |owner| owner.describe());
    (
        naming::conductor_span(analysis, at),
        format!("can a short circuit burn {what}? Open: {why}"),
        why.into(),
        advice.into(),
    )
}
