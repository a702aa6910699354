//! A fact without which a load is not known.

use crate::finding::Fact;
use crate::flow::loads::Unknown;
use crate::model::decode::Record;
use crate::model::devices::DeviceModel;
use crate::rules::Draft;

use super::{RULE, basis};

/// Whether a model lacks it, which many share.
pub(super) fn is_of_model(fact: &Fact) -> bool {
    fact.kind == DeviceModel::WHAT
}

pub(super) fn draft(fact: Fact, why: Unknown) -> Draft {
    let (what, advice) = match why {
        Unknown::PowerFactor if is_of_model(&fact) => (
            "power factor",
            "Take the power factor from the nameplate or the data sheet, and write it as `power-factor`; 1 would make the current too low.",
        ),
        Unknown::Voltage if is_of_model(&fact) => (
            "voltage",
            "Give `voltage`: a load in amperes needs the voltage it holds at.",
        ),
        Unknown::NotPositive if is_of_model(&fact) => ("power", "Give the nameplate's `rating`."),
        Unknown::NotPositive => (
            "power",
            "No load of 0 is a measurement: measure the device at work and write that as its `draw`, or leave the key out, so that the nameplate counts.",
        ),
        Unknown::Power => (
            "power",
            "Give `draw`, or the nameplate's `rating` in its model.",
        ),
        Unknown::Shares if is_of_model(&fact) => (
            "share of an inlet",
            "Write the share of each inlet, like `share: 50 %`; together they take all.",
        ),
        Unknown::Model | Unknown::Shares | Unknown::PowerFactor | Unknown::Voltage => {
            ("model", "Name a model that is defined.")
        }
    };
    let who = match is_of_model(&fact) {
        true => format!("a device of model {}", fact.owner),
        false => format!("device {}", fact.owner),
    };
    let headline = format!(
        "what does {who} take? Missing: the {what}. Until then every sum above it is too low"
    );
    let note = format!("not decided: the {what} is missing");
    Draft::new(&RULE, headline, fact.span, note, basis())
        .about([fact.owner.as_str(), what])
        .kind("unknown")
        .advice(advice)
        .wants([fact])
}
