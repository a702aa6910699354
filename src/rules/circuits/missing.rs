//! Open points: a limit or a load is not known, so that nobody can say whether a thing is overloaded.

use crate::citation::Citation;
use crate::finding::Finding;
use crate::flow::loads::Unknown;
use crate::graph::ElementId;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::rules::{Draft, Rule};
use crate::source::Span;
use crate::survey::{Survey, field_or_name};

use super::limit::Missing;

/// A limit that is not known. Strips of one model say the same thing, which is then told once.
pub fn limit(rule: &Rule, missing: &Missing) -> Finding {
    let Missing {
        what, at, owner, ..
    } = missing;
    let headline = format!("Whether {owner} is overloaded cannot be said: {what} is missing");
    let basis = Citation::marked("rating as marked on the part");
    Draft::new(
        rule,
        headline,
        *at,
        format!("not decided: {what} is missing"),
        basis,
    )
    .about([missing.name.clone()])
    .kind("limit-missing")
    .advice(format!(
        "Read {what} off the part or its data sheet and write it down."
    ))
    .open()
    .finish()
}

/// What an open point is about.
pub struct Question<'a> {
    /// What cannot be said: `circuit A-1 is overloaded`.
    pub whether: String,
    /// The element, unless it is about all that a device hangs on.
    pub of: Option<ElementId>,
    /// What the known loads make.
    pub known: Option<String>,
    /// Where the limit comes from.
    pub basis: Option<&'a Citation>,
}

/// A load that is not known.
pub fn load(
    rule: &Rule,
    survey: &Survey<'_>,
    device: Id<Device>,
    question: Question<'_>,
) -> Finding {
    let (what, at) = lacking(survey, device);
    let name = &survey.model.devices[device].name.value;
    let basis = question.basis.cloned();
    let basis = basis.unwrap_or_else(|| Citation::marked("rating as marked on the part"));
    let headline = format!(
        "Whether {} cannot be said: {what} is missing",
        question.whether
    );
    let note = format!("not decided: {what} is missing");
    let about = question.of.map(|id| survey.full_name(id));
    Draft::new(rule, headline, at, note, basis)
        .above(question.of.map(|id| survey.hop(id)))
        .working(question.known)
        .about(about.into_iter().chain([name.clone()]))
        .kind("load-missing")
        .advice(format!(
            "Find {what} by measurement or on the nameplate and write it down."
        ))
        .open()
        .finish()
}

/// What is missing to know the load of a device, and where it should stand.
fn lacking(survey: &Survey<'_>, device: Id<Device>) -> (String, Span) {
    let own = &survey.model.devices[device];
    let name = &own.name;
    let link = survey.graph.links.device_models[device.index()];
    let Some(model) = link.map(|link| &survey.model.device_models[link]) else {
        let what = format!("the model of device {}", name.value);
        return (what, field_or_name(&own.model, name));
    };
    let of_model = |what| format!("the {what} of device model {}", model.name.value);
    match survey.flows.loads.device(device).basis {
        Err(Unknown::PowerFactor) => (
            of_model("power factor"),
            field_or_name(&model.power_factor, &model.name),
        ),
        Err(Unknown::Voltage) => (
            of_model("voltage"),
            field_or_name(&model.voltage, &model.name),
        ),
        Err(Unknown::Power | Unknown::NotPositive | Unknown::Model) => (
            format!("the load of device {}", name.value),
            field_or_name(&own.draw, name),
        ),
        Ok(_) => (
            format!(
                "the pair of poles that feeds a cord of device {}",
                name.value
            ),
            name.span,
        ),
    }
}
