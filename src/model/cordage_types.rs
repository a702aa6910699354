//! `cordage-types:` — cordages that the tables lack, described from the site's own papers.

use serde_json::{Value, json};

use crate::quantity::{ConductorSize, Temperature, Voltage};
use crate::tables::cordage::{Duty, Family, Insulation};
use crate::yaml::NodeId;

use super::decode::{Decode, Reader, list, record, words};
use super::text::{CordageRef, YesNo};
use super::value::{Field, Name};

record! {
    /// A cordage that the tables lack, described from papers of the site's own; its name begins with `own-`.
    OwnCordage: "cordage type";
    /// A cordage of the tables that it is built like: what is not written here is as with that one.
    "like" => like: Field<CordageRef>,
    /// Whose rules it is made by: `harmonised` (HD 361, IEC 60227 and 60245), `north-american` (NEC, UL 62) or `japanese`.
    "made-by" => made_by: Field<MadeBy>,
    /// The highest voltage between two of its conductors: U of U0/U.
    "voltage" (above_zero) => voltage: Field<Voltage>,
    /// The highest voltage from a conductor to earth: U0 of U0/U.
    "earth-voltage" (above_zero) => earth_voltage: Field<Voltage>,
    /// The hottest that its conductors may get.
    "temperature" => temperature: Field<Temperature>,
    /// What its conductors are insulated with.
    "insulation" => insulation: Field<InsulatedWith>,
    /// The conductors that it is made with.
    "sizes" => sizes: Field<MadeSizes>,
    /// How hard it may be treated, in the words of its standard.
    "duty" => duty: Field<Treated>,
    /// Whether it gives off no halogen acid gas in a fire (IEC 60754-1).
    "halogen-free" => halogen_free: Field<YesNo>,
    /// Whether its jacket resists oil.
    "oil" => oil: Field<YesNo>,
    /// Whether it may lie in wet places.
    "wet" => wet: Field<YesNo>,
    /// The paper that says all this: data sheet, sheet number, date.
    "source" (required) => source: Field<Name>,
}

words! {
    /// Whose rules a cordage is made by.
    MadeBy: "a system of cordages";
    /// HD 361, IEC 60227 and IEC 60245.
    Harmonised = "harmonised",
    /// NEC Table 400.4 and UL 62.
    NorthAmerican = "north-american",
    /// The Japanese rules.
    Japanese = "japanese",
}

impl MadeBy {
    /// The same as the tables have it.
    pub fn family(self) -> Family {
        match self {
            Self::Harmonised => Family::Harmonised,
            Self::NorthAmerican => Family::Nec,
            Self::Japanese => Family::Japan,
        }
    }
}

words! {
    /// What the conductors of a cordage are insulated with.
    InsulatedWith: "an insulation";
    /// PVC for conductors up to 70 °C.
    Pvc70 = "pvc-70",
    /// Heat-resistant PVC, up to 90 °C.
    Pvc90 = "pvc-90",
    /// Ordinary rubber, 60 °C.
    Rubber60 = "rubber-60",
    /// Ethylene propylene rubber or cross-linked polyethylene, 90 °C.
    Epr90 = "epr-90",
    /// Halogen-free thermoplastic, 70 °C.
    HalogenFree70 = "halogen-free-70",
    /// Halogen-free and cross-linked, 90 °C.
    HalogenFree90 = "halogen-free-90",
    /// Thermoplastic of UL 62.
    Thermoplastic = "thermoplastic",
    /// Thermoset of UL 62.
    Thermoset = "thermoset",
    /// Thermoplastic elastomer of UL 62.
    ThermoplasticElastomer = "thermoplastic-elastomer",
}

impl InsulatedWith {
    /// The same as the tables have it.
    pub fn insulation(self) -> Insulation {
        match self {
            Self::Pvc70 => Insulation::Pvc70,
            Self::Pvc90 => Insulation::Pvc90,
            Self::Rubber60 => Insulation::Rubber60,
            Self::Epr90 => Insulation::Epr90,
            Self::HalogenFree70 => Insulation::HalogenFreeThermoplastic70,
            Self::HalogenFree90 => Insulation::HalogenFreeCrosslinked90,
            Self::Thermoplastic => Insulation::Thermoplastic,
            Self::Thermoset => Insulation::Thermoset,
            Self::ThermoplasticElastomer => Insulation::ThermoplasticElastomer,
        }
    }
}

words! {
    /// How hard a cordage may be treated.
    Treated: "a duty";
    /// IEC: light duty.
    Light = "light",
    /// IEC: ordinary duty.
    Ordinary = "ordinary",
    /// IEC: heavy duty.
    Heavy = "heavy",
    /// NEC: not hard usage.
    NotHard = "not-hard-usage",
    /// NEC: hard usage.
    Hard = "hard-usage",
    /// NEC: extra-hard usage.
    ExtraHard = "extra-hard-usage",
}

impl Treated {
    /// The same as the tables have it.
    pub fn duty(self) -> Duty {
        match self {
            Self::Light => Duty::Light,
            Self::Ordinary => Duty::Ordinary,
            Self::Heavy => Duty::Heavy,
            Self::NotHard => Duty::NotHard,
            Self::Hard => Duty::Hard,
            Self::ExtraHard => Duty::ExtraHard,
        }
    }
}

/// The conductors that a cordage is made with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MadeSizes(pub Vec<ConductorSize>);

impl Decode for MadeSizes {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let wanted = "a list of conductor sizes like [0.75 mm², 1.0 mm²]";
        let sizes = list(reader, node, wanted, |reader, item| {
            reader.zero_is_nonsense();
            ConductorSize::decode(reader, item)
        })?;
        if sizes.is_empty() {
            let headline = "no size is named: nothing is made without conductors".to_owned();
            let advice = "Name the sizes of its data sheet, like [0.75 mm², 1.0 mm²].".to_owned();
            reader.bad(reader.tree.span(node), headline, advice);
        }
        (!sizes.is_empty()).then_some(Self(sizes))
    }

    fn schema() -> Value {
        json!({"type": "array", "minItems": 1, "items": ConductorSize::schema()})
    }
}
