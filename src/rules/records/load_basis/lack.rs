//! A fact without which a load is not known.

use crate::flow::loads::Unknown;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Name, Named};
use crate::rules::Draft;
use crate::source::Span;
use crate::survey::field_or_name;

use super::{RULE, basis};

/// A fact without which a load is not known.
pub(super) struct Lack {
    pub at: Span,
    pub fact: &'static str,
    /// Whether a model lacks it, which many share.
    pub is_of_model: bool,
    who: String,
    name: Name,
    advice: &'static str,
}

impl Lack {
    pub fn of(why: Unknown, device: &Named<Device>, model: Option<&Named<DeviceModel>>) -> Self {
        let own = |span, fact, advice| Self {
            at: span,
            fact,
            is_of_model: false,
            who: format!("device {}", device.name.value),
            name: device.name.value.clone(),
            advice,
        };
        let Some(model) = model.filter(|_| why != Unknown::Model) else {
            let at = field_or_name(&device.model, &device.name);
            return own(at, "model", "Name a model that is defined.");
        };
        let of_model = |span: Option<Span>, fact, advice| Self {
            at: span.unwrap_or(model.name.span),
            fact,
            is_of_model: true,
            who: format!("devices of model {}", model.name.value),
            name: model.name.value.clone(),
            advice,
        };
        match why {
            Unknown::PowerFactor => of_model(
                model.power_factor.span(),
                "power factor",
                "Give `power-factor` as on the nameplate; 1 would make the current too low.",
            ),
            Unknown::Voltage => of_model(
                model.voltage.span(),
                "voltage",
                "Give `voltage`: a load in amperes needs the voltage it holds at.",
            ),
            Unknown::NotPositive if device.draw.is_absent() => of_model(
                model.rating.span(),
                "power",
                "Give the nameplate's `rating`.",
            ),
            Unknown::NotPositive | Unknown::Power | Unknown::Model => {
                let at = field_or_name(&device.draw, &device.name);
                own(
                    at,
                    "power",
                    "Give `draw`, or the nameplate's `rating` in its model.",
                )
            }
        }
    }

    pub fn draft(&self) -> Draft {
        let Self { fact, who, .. } = self;
        let headline = format!(
            "the load of {who} cannot be said: the {fact} is missing, so every sum above it is too low"
        );
        Draft::new(
            &RULE,
            headline,
            self.at,
            format!("not decided: the {fact} is missing"),
            basis(),
        )
        .about([self.name.as_str(), fact])
        .kind("unknown")
        .advice(self.advice)
        .open()
    }
}
