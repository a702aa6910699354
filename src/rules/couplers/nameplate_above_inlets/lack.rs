//! A fact without which nameplate and inlets cannot be compared.

use crate::analysis::{Analysis, absence, field_or_name};
use crate::finding::Fact;
use crate::flow::loads::Unknown;
use crate::model::devices::{Device, DeviceModel, Inlet};
use crate::model::optional::Stated;
use crate::model::value::{Id, Named};
use crate::source::Span;

/// A fact without which nameplate and inlets cannot be compared.
pub(super) struct Lack {
    pub at: Span,
    /// `its power factor is missing`
    pub why: String,
    pub advice: &'static str,
    pub kind: &'static str,
    /// The same as a key of the format, where one would do.
    pub fact: Option<Box<Fact>>,
    /// What a load lacks that lacks the same.
    like: Option<Unknown>,
}

impl Lack {
    pub fn rating(model: &Named<DeviceModel>) -> Self {
        let advice = "Write the nameplate's `rating` with its unit, like `rating: 2 kW`.";
        of_field(&model.rating, model, "nameplate", "rating", advice)
    }

    pub fn power_factor(model: &Named<DeviceModel>) -> Self {
        let advice = "Give `power-factor` as on the nameplate; 1 would make the current too low.";
        let field = &model.power_factor;
        let lack = of_field(field, model, "power factor", "power-factor", advice);
        lack.like(Unknown::PowerFactor)
    }

    pub fn voltage(model: &Named<DeviceModel>) -> Self {
        let advice = "Read the voltage off the nameplate, such as `voltage: 100–240 V`.";
        let lack = of_field(&model.voltage, model, "voltage", "voltage", advice);
        lack.like(Unknown::Voltage)
    }

    pub fn needed(model: &Named<DeviceModel>) -> Self {
        let advice = "Write how many inlets must stay fed, like `inlets-needed: 1`.";
        let field = &model.inlets_needed;
        let what = "number of inlets needed";
        let lack = of_field(field, model, what, "needed", advice);
        Self {
            fact: Some(Box::new(Fact::of(model, "inlets-needed", Some(field)))),
            ..lack
        }
    }

    pub fn coupler(model: &Named<DeviceModel>, inlet: &Named<Inlet>, why: &str) -> Self {
        let field = inlet.rating.span().or(inlet.coupler.span());
        Self {
            at: field.unwrap_or(model.name.span),
            why: format!("of inlet {}, {why}", inlet.name.value),
            advice: "Read coupler and rated current off the part.",
            kind: "coupler",
            fact: None,
            like: None,
        }
    }

    fn like(self, unknown: Unknown) -> Self {
        Self {
            like: Some(unknown),
            ..self
        }
    }

    /// Whether the load of a device lacks the same: then it is asked for already.
    pub fn is_asked_for(&self, analysis: &Analysis<'_>, device: Id<Device>) -> bool {
        let basis = analysis.flows.loads.device(device).basis;
        self.like.is_some() && basis.err() == self.like
    }
}

fn of_field(
    field: &impl Stated,
    model: &Named<DeviceModel>,
    what: &str,
    kind: &'static str,
    advice: &'static str,
) -> Lack {
    Lack {
        at: field_or_name(field, &model.name),
        why: format!("the {what} {}", absence(field)),
        advice,
        kind,
        fact: Some(Box::new(Fact::of(model, kind, Some(field)))),
        like: None,
    }
}
