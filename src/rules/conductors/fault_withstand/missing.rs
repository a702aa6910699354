//! What is missing to judge a short circuit.

use crate::flow::protection::Device;
use crate::graph::ElementId;
use crate::rules::conductors::gaps::Gap;
use crate::rules::conductors::naming;
use crate::survey::Survey;

use super::stress::Outcome;

pub(super) fn open(gap: Gap) -> Outcome {
    Outcome::Open(Box::new(gap))
}

pub(super) fn gap(
    (about, kind, span): (smol_str::SmolStr, &'static str, crate::source::Span),
    headline: String,
    missing: &str,
    advice: &str,
) -> Gap {
    Gap {
        about,
        kind,
        span,
        headline,
        missing: missing.into(),
        basis: super::basis(),
        advice: advice.into(),
    }
}

pub(super) fn curve_missing(survey: &Survey<'_>, device: &Device<'_>) -> Gap {
    let what = naming::describe_device_model(survey, device.at);
    gap(
        (
            naming::device_model(survey, device.at),
            "curve",
            survey.place_of(device.at),
        ),
        format!(
            "whether the breaker of {what} opens before the conductors burn cannot be said: its curve is missing"
        ),
        "no curve",
        "Read the letter before the rated current off the breaker (B, C or D; inverse-time in North America) and write it under curve.",
    )
}

pub(super) fn insulation_missing(survey: &Survey<'_>, id: ElementId) -> Gap {
    missing_at(
        survey,
        id,
        "insulation",
        "the insulation of its conductors is missing",
        "Write the cordage, or for fixed wiring the insulation.",
    )
}

pub(super) fn way_missing(survey: &Survey<'_>, at: ElementId) -> Gap {
    missing_at(
        survey,
        at,
        "conductors",
        "size or length of its conductors is missing",
        "Write the size and the length of the run.",
    )
}

fn missing_at(
    survey: &Survey<'_>,
    at: ElementId,
    kind: &'static str,
    why: &str,
    advice: &str,
) -> Gap {
    let owner = naming::owner(survey, at);
    let (about, what) = owner.map_or_else(
        || (survey.full_name(at), survey.describe(at)),
        |owner| (owner.name.value.clone(), owner.describe()),
    );
    gap(
        (about, kind, naming::conductor_span(survey, at)),
        format!("whether a short circuit burns what is behind {what} cannot be said: {why}"),
        why,
        advice,
    )
}
