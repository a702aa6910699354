//! What the rows of a spreadsheet may be.

use serde_json::Value;

use crate::model::circuits::Circuit;
use crate::model::cords::{Cord, CordType};
use crate::model::decode::{Key, Record};
use crate::model::devices::{Device, DeviceModel};
use crate::model::offers::Offer;
use crate::model::pdus::{Pdu, PduModel};
use crate::model::places::Rack;

/// What the rows of a spreadsheet are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Things {
    /// Cords, with their types where no column names them.
    Cords,
    /// Kinds of cord set.
    CordTypes,
    /// Devices.
    Devices,
    /// Kinds of equipment.
    DeviceModels,
    /// Circuits.
    Circuits,
    /// Power strips.
    Pdus,
    /// Racks.
    Racks,
    /// What suppliers offer: price lists.
    Offers,
}

impl Things {
    /// The section of the definitions.
    pub fn section(self) -> &'static str {
        match self {
            Self::Cords => "cords",
            Self::CordTypes => "cord-types",
            Self::Devices => "devices",
            Self::DeviceModels => "device-models",
            Self::Circuits => "circuits",
            Self::Pdus => "pdus",
            Self::Racks => "racks",
            Self::Offers => "offers",
        }
    }

    /// The section of what is made of the rows besides.
    pub(super) fn section_of_type(self) -> &'static str {
        match self {
            Self::Devices => Self::DeviceModels.section(),
            Self::Pdus => "pdu-models",
            _ => Self::CordTypes.section(),
        }
    }

    /// Whether what the rows say of models goes to those that they name under `model`.
    pub(super) fn name_models(self) -> bool {
        matches!(self, Self::Devices | Self::Pdus)
    }

    /// One of them.
    pub fn what(self) -> &'static str {
        match self {
            Self::Cords => Cord::WHAT,
            Self::CordTypes => CordType::WHAT,
            Self::Devices => Device::WHAT,
            Self::DeviceModels => DeviceModel::WHAT,
            Self::Circuits => Circuit::WHAT,
            Self::Pdus => Pdu::WHAT,
            Self::Racks => Rack::WHAT,
            Self::Offers => Offer::WHAT,
        }
    }

    /// The keys that one of them has.
    pub(super) fn keys(self) -> &'static [Key] {
        match self {
            Self::Cords => Cord::KEYS,
            Self::CordTypes => CordType::KEYS,
            Self::Devices => Device::KEYS,
            Self::DeviceModels => DeviceModel::KEYS,
            Self::Circuits => Circuit::KEYS,
            Self::Pdus => Pdu::KEYS,
            Self::Racks => Rack::KEYS,
            Self::Offers => Offer::KEYS,
        }
    }

    /// The keys of what is made of the rows besides: of the types that cords are of, and of the models that
    /// devices and strips name.
    pub(super) fn keys_of_type(self) -> &'static [Key] {
        match self {
            Self::Cords => CordType::KEYS,
            Self::Devices => DeviceModel::KEYS,
            Self::Pdus => PduModel::KEYS,
            _ => &[],
        }
    }
}

/// Whether a key among `keys`, or one in the mapping under it, takes a number.
pub(super) fn takes_number(keys: &[Key], path: &[String]) -> bool {
    let Some((first, rest)) = path.split_first() else {
        return false;
    };
    let key = keys.iter().find(|key| key.name == first);
    key.is_some_and(|key| leads_to_number(&(key.schema)(), rest))
}

/// A schema of numbers shows one as an example, alone or before its unit.
fn leads_to_number(schema: &Value, path: &[String]) -> bool {
    let forms = schema["anyOf"].as_array().into_iter().flatten();
    let any_form = forms.into_iter().any(|form| leads_to_number(form, path));
    let here = match path.split_first() {
        Some((first, rest)) => {
            let below = &schema["properties"][first.as_str()];
            let below = if below.is_null() {
                &schema["additionalProperties"]
            } else {
                below
            };
            below.is_object() && leads_to_number(below, rest)
        }
        None => {
            let examples = schema["examples"].as_array().into_iter().flatten();
            let mut examples = examples.into_iter();
            schema["type"] == "number"
                || schema["type"] == "integer"
                || examples
                    .any(|example| example.is_number() || example.as_str().is_some_and(is_quantity))
                || schema["items"].is_object() && leads_to_number(&schema["items"], path)
        }
    };
    any_form || here
}

/// `1.5 m`, and neither `2026-11-05` nor `L1-N`.
fn is_quantity(example: &str) -> bool {
    let number = example.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    number.len() < example.len() && number.starts_with(' ')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_that_take_numbers_are_known_by_their_schema() {
        for (things, path, is_number) in [
            (Things::CordTypes, "length", true),
            (Things::CordTypes, "conductor", true),
            (Things::CordTypes, "rating", true),
            (Things::CordTypes, "rating.nec", true),
            (Things::CordTypes, "cores", true),
            (Things::CordTypes, "plug", false),
            (Things::CordTypes, "colour", false),
            (Things::CordTypes, "legs.a.length", true),
            (Things::Cords, "from", false),
            (Things::Cords, "length", true),
            (Things::Circuits, "breaker", true),
            (Things::Circuits, "breaker.rating", true),
            (Things::Circuits, "breaker.curve", false),
            (Things::Circuits, "wiring.length", true),
            (Things::Circuits, "poles", false),
            (Things::Devices, "draw", true),
            (Things::Devices, "measured", false),
            (Things::DeviceModels, "power-factor", true),
            (Things::DeviceModels, "inlets.psu1", false),
            (Things::Offers, "price", true),
            (Things::Offers, "price.100", true),
            (Things::Offers, "lengths", true),
            (Things::Offers, "minimum", true),
            (Things::Offers, "lead", true),
            (Things::Offers, "colours", false),
            (Things::Offers, "valid-until", false),
            (Things::Racks, "zone", false),
            (Things::Racks, "width", true),
        ] {
            let path_of: Vec<String> = path.split('.').map(str::to_owned).collect();
            assert_eq!(takes_number(things.keys(), &path_of), is_number, "{path}");
        }
    }
}
