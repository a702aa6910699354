//! How scalars are read: names, references, words of the tables, quantities, dates, yes and no.

use serde_json::{Value, json};

use crate::date::Date;
use crate::quantity::{
    ApparentPower, ConductorSize, Current, EnergyLetThrough, Length, LoadPower, Power, Quantity,
    RackUnits, Ratio, Resistance, SystemMarking, Temperature, Time, Voltage, VoltageRange,
};
use crate::tables::breakers::Curve;
use crate::tables::cordage::{self, Cordage};
use crate::tables::couplers::{self, Coupler};
use crate::tables::wiring::WiringInsulation;
use crate::yaml::NodeId;

use super::decode::{Decode, Reader};
use super::fault::Fault;
use super::value::Name;

impl Decode for Name {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a name")?;
        if text.is_empty() {
            reader.wanted(node, "a name");
            return None;
        }
        Some(text.into())
    }

    fn schema() -> Value {
        json!({"type": ["string", "number", "boolean"]})
    }
}

/// A reference to a thing, or to a part of it: `A-12`, `ph-1-a/3`, `tide-01/psu1`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Reference(pub Name);

impl Reference {
    /// The thing's name: what stands before the last `/`.
    pub fn owner(&self) -> &str {
        self.0
            .rsplit_once('/')
            .map_or(self.0.as_str(), |(owner, _)| owner)
    }

    /// The part's name: what stands after the last `/`.
    pub fn part(&self) -> Option<&str> {
        self.0.rsplit_once('/').map(|(_, part)| part)
    }
}

impl Decode for Reference {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        Name::decode(reader, node).map(Self)
    }

    fn schema() -> Value {
        json!({"type": "string", "examples": ["ph-1-a/3"]})
    }
}

/// Yes or no.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct YesNo(pub bool);

impl Decode for YesNo {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        match reader.scalar(node, "yes or no")? {
            "yes" | "true" | "Yes" | "True" => Some(Self(true)),
            "no" | "false" | "No" | "False" => Some(Self(false)),
            _ => {
                unknown_word(reader, node, "yes or no", &["yes", "no"]);
                None
            }
        }
    }

    fn schema() -> Value {
        json!({"enum": [true, false, "yes", "no"]})
    }
}

/// Says that a word is none of those that are allowed here, and which is nearest.
pub fn unknown_word(reader: &mut Reader<'_>, node: NodeId, what: &str, words: &[&str]) {
    let text = reader.tree.text(node);
    let nearest = super::nearest(text, words.iter().copied());
    let span = reader.tree.span(node);
    let list = words.join(", ");
    reader.faults.push(Fault::BadValue {
        span,
        headline: format!("`{}` is not {what}", clip(text)),
        advice: match nearest {
            Some(word) => format!("Write `{word}`? Possible here: {list}."),
            None => format!("Possible here: {list}."),
        },
        replacement: nearest.map(str::to_owned),
    });
}

/// The start of a text that may be long.
pub fn clip(text: &str) -> String {
    let mut clipped: String = text.chars().take(40).collect();
    if clipped.len() < text.len() {
        clipped.push('…');
    }
    clipped
}

/// Reads a quantity, saying which part of the text is wrong.
fn quantity<Q: Quantity>(reader: &mut Reader<'_>, node: NodeId) -> Option<Q> {
    let text = reader.scalar(node, Q::WHAT)?;
    match Q::read(text) {
        Ok(quantity) => Some(quantity),
        Err(misread) => {
            reader.faults.push(Fault::BadValue {
                span: reader.tree.part_span(node, misread.part),
                headline: misread.headline,
                advice: misread.advice,
                replacement: misread.replacement,
            });
            None
        }
    }
}

/// Quantities are read alike; a blanket `impl` would collide with the records.
macro_rules! quantities {
    ($($type:ty),* $(,)?) => {$(
        impl Decode for $type {
            fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
                quantity(reader, node)
            }

            fn schema() -> Value {
                json!({"type": "string", "examples": [<$type as Quantity>::EXAMPLE]})
            }
        }
    )*};
}

quantities!(
    Current,
    Voltage,
    Length,
    Power,
    ApparentPower,
    Temperature,
    Ratio,
    Time,
    ConductorSize,
    RackUnits,
    VoltageRange,
    EnergyLetThrough,
    Resistance,
    LoadPower,
    SystemMarking,
);

impl Decode for Date {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a date like 2027-03-31")?;
        let date = text.parse().ok();
        if date.is_none() {
            let headline = format!("`{}` is not a date", clip(text));
            reader.bad(
                reader.tree.span(node),
                headline,
                "Write year-month-day, like 2027-03-31.".into(),
            );
        }
        date
    }

    fn schema() -> Value {
        json!({"type": "string", "format": "date"})
    }
}

/// A whole number that counts things.
impl Decode for u32 {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a whole number")?;
        let number = text.parse().ok();
        if number.is_none() {
            let headline = format!("`{}` is not a whole number", clip(text));
            reader.bad(
                reader.tree.span(node),
                headline,
                "Write digits only, like 2.".into(),
            );
        }
        number
    }

    fn schema() -> Value {
        json!({"type": "integer", "minimum": 0})
    }
}

/// A coupler of the tables.
pub type CouplerRef = &'static Coupler;

impl Decode for CouplerRef {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a coupler like C13")?;
        let found = couplers::find(text);
        if found.is_none() {
            unknown_in_table(reader, node, "coupler", couplers::nearest(text));
        }
        found
    }

    fn schema() -> Value {
        json!({"type": "string", "examples": ["C13", "NEMA 5-15", "IEC 60309 32 A 3P+N+E", "CEE 7/7", "BS 1363"]})
    }
}

/// A cordage type of the tables.
pub type CordageRef = &'static Cordage;

impl Decode for CordageRef {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a cordage type like H05VV-F")?;
        let found = cordage::find(text);
        if found.is_none() {
            unknown_in_table(reader, node, "cordage type", cordage::nearest(text));
        }
        found
    }

    fn schema() -> Value {
        json!({"type": "string", "examples": ["H05VV-F", "SJT"]})
    }
}

impl Decode for Curve {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let found = Self::from_name(reader.scalar(node, "a tripping curve like C")?);
        if found.is_none() {
            unknown_word(
                reader,
                node,
                "a tripping curve",
                &["B", "C", "D", "inverse-time"],
            );
        }
        found
    }

    fn schema() -> Value {
        json!({"enum": ["B", "C", "D", "inverse-time"]})
    }
}

/// Names of wiring insulation that are read, the common ones first.
const INSULATIONS: [&str; 11] = [
    "pvc-70", "xlpe-90", "epr-90", "tw", "thw", "thwn", "xhhw", "thhn", "thwn-2", "xhhw-2", "rhw-2",
];

impl Decode for WiringInsulation {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let found = Self::from_name(reader.scalar(node, "an insulation like pvc-70")?);
        if found.is_none() {
            unknown_word(reader, node, "an insulation", &INSULATIONS);
        }
        found
    }

    fn schema() -> Value {
        json!({"type": "string", "examples": INSULATIONS})
    }
}

fn unknown_in_table(
    reader: &mut Reader<'_>,
    node: NodeId,
    what: &'static str,
    nearest: Option<&str>,
) {
    reader.faults.push(Fault::UnknownWord {
        span: reader.tree.span(node),
        word: clip(reader.tree.text(node)).into(),
        what,
        nearest: nearest.map(Into::into),
    });
}
