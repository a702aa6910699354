//! What is said of a fact for want of which the heat of a short circuit cannot be judged.

use smol_str::SmolStr;

use crate::finding::Fact;
use crate::graph::ElementId;
use crate::model::circuits::{Breaker, Supply};
use crate::model::value::{Field, Id};
use crate::source::Span;
use crate::survey::{Survey, field_or_name};

use super::super::gaps::{Gap, insulation_fact, lacking, way_facts};
use super::super::naming;
/// A fact that is missing, at the thing that should have it.
#[derive(Clone, Copy)]
pub(super) enum Missing {
    /// Prospective fault current, or voltage to earth, of a supply.
    Source(Id<Supply>),
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
    pub fn about(self, survey: &Survey<'_>) -> SmolStr {
        match self {
            Self::Source(supply) => survey.model.supplies[supply].name.value.clone(),
            Self::Curve(device) | Self::LetThrough(device) | Self::InstantaneousTrip(device) => {
                naming::device_model(survey, device)
            }
            Self::Capacity(at) => lacking(survey, at).0,
            Self::Way(at) | Self::Insulation(at) => naming::owner(survey, at)
                .map_or_else(|| survey.full_name(at), |owner| owner.name.value.clone()),
        }
    }

    /// Who suffers from it, where many share the thing that lacks it.
    pub fn sharer(self, survey: &Survey<'_>) -> Option<SmolStr> {
        match self {
            Self::Source(_) => None,
            Self::Capacity(at) => lacking(survey, at).1,
            Self::Way(at)
            | Self::Insulation(at)
            | Self::Curve(at)
            | Self::LetThrough(at)
            | Self::InstantaneousTrip(at) => naming::sharer(survey, at),
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
    pub fn gap(self, survey: &Survey<'_>, about: SmolStr) -> Gap {
        let (span, headline, missing, advice) = match self {
            Self::Source(supply) => source(survey, supply),
            Self::Capacity(at) => capacity(survey, at),
            Self::Curve(device) => curve(survey, device),
            Self::LetThrough(device) => let_through(survey, device),
            Self::InstantaneousTrip(device) => instantaneous_trip(survey, device),
            Self::Insulation(at) => conductors(
                survey,
                at,
                "the insulation of its conductors is missing",
                "Write down the cordage, or for fixed wiring the insulation.",
            ),
            Self::Way(at) => conductors(
                survey,
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
            missing: missing.into(),
            basis: super::basis(),
            advice: advice.into(),
            wants: self.wants(survey),
        }
    }

    fn wants(self, survey: &Survey<'_>) -> Vec<Fact> {
        match self {
            Self::Source(supply) => {
                let supply = &survey.model.supplies[supply];
                vec![Fact::of(
                    supply,
                    "fault-current",
                    Some(&supply.fault_current),
                )]
            }
            Self::Way(at) => way_facts(survey, at),
            Self::Capacity(at) => lacking(survey, at).3.into_iter().collect(),
            Self::Insulation(at) => insulation_fact(survey, at).into_iter().collect(),
            Self::Curve(at) | Self::InstantaneousTrip(at) => {
                vec![breaker_fact(survey, at, "curve", |breaker| &breaker.curve)]
            }
            Self::LetThrough(at) => {
                vec![breaker_fact(survey, at, "let-through", |breaker| {
                    &breaker.let_through
                })]
            }
        }
    }
}

fn breaker_fact<V>(
    survey: &Survey<'_>,
    at: ElementId,
    key: &str,
    field: impl Fn(&Breaker) -> &Field<V>,
) -> Fact {
    let breaker = survey.breaker(at).and_then(Field::given);
    survey.breaker_fact(at, key, breaker.map(|breaker| field(&breaker.value)))
}

/// Where the fact should stand, the headline, what is missing in short, and what to write.
type Said = (Span, String, &'static str, &'static str);

fn source(survey: &Survey<'_>, supply: Id<Supply>) -> Said {
    let supply = &survey.model.supplies[supply];
    (
        field_or_name(&supply.fault_current, &supply.name),
        format!(
            "do conductors behind supply {} bear a short circuit? Missing: how much current it can drive into one, or its voltage to earth",
            supply.name.value
        ),
        "the prospective fault current is missing",
        "Write the prospective fault current as the `fault-current` of the supply: measured, or from the utility or the maker of the UPS.",
    )
}

fn capacity(survey: &Survey<'_>, at: ElementId) -> Said {
    let (_, _, span, _) = lacking(survey, at);
    let what = naming::run(survey, at);
    (
        span,
        format!(
            "can a short circuit burn {what}? Missing: what it may carry, and so whether its breaker guards it at all"
        ),
        "what it may carry is not known",
        "Write down what is missing: size, cordage or insulation, and the air temperature; or what the breaker lets through, as its `let-through`.",
    )
}

fn let_through(survey: &Survey<'_>, device: ElementId) -> Said {
    let what = naming::describe_device_model(survey, device);
    (
        survey.place_of(device),
        format!(
            "can a short circuit burn what is behind the breaker of {what}? It is larger than the conductors carry. Missing: its let-through (data sheet)"
        ),
        "what it lets through is missing",
        "Let-through is the heat that passes before the breaker opens, in A²s. Take it from the maker's data sheet at this fault current and write it as `let-through`; or use conductors that carry the breaker's rated current.",
    )
}

/// The standard of inverse-time breakers leaves it to the maker.
fn instantaneous_trip(survey: &Survey<'_>, device: ElementId) -> Said {
    let what = naming::describe_device_model(survey, device);
    (
        survey.place_of(device),
        format!(
            "can a short circuit burn what is behind the breaker of {what} before it opens? Missing: at which current it opens at once (its maker's curve; UL 489 fixes none)"
        ),
        "inverse-time: its instantaneous trip is missing",
        "Read off the maker's curve from which current it opens at once, and write the first of B (5 times its rating), C (10 times) or D (20 times) that is not below it as its `curve`; or use thicker or shorter cords.",
    )
}

fn curve(survey: &Survey<'_>, device: ElementId) -> Said {
    let what = naming::describe_device_model(survey, device);
    (
        survey.place_of(device),
        format!(
            "can a short circuit burn the conductors behind the breaker of {what} before it opens? Missing: its curve (the letter before its rating)"
        ),
        "the curve is missing",
        "Read the letter before the rated current off the breaker (B, C or D; inverse-time in North America) and write it as its `curve`.",
    )
}

fn conductors(survey: &Survey<'_>, at: ElementId, why: &'static str, advice: &'static str) -> Said {
    let owner = naming::owner(survey, at);
    let what = owner.map_or_else(|| survey.describe(at), |owner| owner.describe());
    (
        naming::conductor_span(survey, at),
        format!("can a short circuit burn {what}? Open: {why}"),
        why,
        advice,
    )
}
