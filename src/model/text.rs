//! How scalars are read: names, references, words of the tables, quantities, dates, yes and no.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::date::Date;
use crate::quantity::trap;
use crate::quantity::{
    Amount, ApparentPower, ConductorSize, Current, Days, EnergyLetThrough, Length, LoadPower,
    Money, Power, Quantity, RackUnits, Ratio, Resistance, SystemMarking, Temperature, Time,
    Tolerance, Voltage, VoltageRange,
};
use crate::spelling::{Near, nearest};
use crate::tables::breakers::Curve;
use crate::tables::cordage::{self, Cordage};
use crate::tables::couplers::{self, Coupler};
use crate::tables::own;
use crate::tables::retention::{self, Retention};
use crate::tables::wiring::{self, WiringInsulation};
use crate::yaml::{Kind, NodeId};

use super::catalogued::Catalogued;
use super::decode::{Decode, Reader};
use super::fault::Fault;
use super::other_half;
use super::schema;
use super::value::{Field, Name};

impl Decode for Name {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a name")?;
        if text.is_empty() {
            let span = reader.tree.span(node);
            reader.bad(span, "a name is empty here".into(), "Write a name.".into());
            return None;
        }
        look_for_trap(reader, node);
        Some(text.into())
    }

    fn schema() -> Value {
        schema::defined("name")
    }
}

/// Warns of a name that is read here as it stands, but that other readers of YAML turn into a number
/// or into true or false when it has no quotes.
pub fn look_for_trap(reader: &mut Reader<'_>, node: NodeId) {
    let tree = reader.tree;
    if tree.kind(node) != Kind::Plain || tree.tag(node).is_some() {
        return;
    }
    if let Some(taken_for) = trap::taken_for(tree.text(node)) {
        reader.push(Fault::Trap {
            span: tree.span(node),
            text: tree.text(node).into(),
            taken_for,
        });
    }
}

/// A reference to a thing, or to a part of it: `A-12`, `ph-1-a/3`, `tide-01/psu1`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Reference(pub Name);

impl Reference {
    /// The thing's name: what stands before the last `/` and the blanks at it.
    pub fn owner(&self) -> &str {
        self.0
            .rsplit_once('/')
            .map_or(self.0.as_str(), |(owner, _)| owner.trim_end())
    }

    /// Owner and part without the blanks at the `/` between them.
    pub fn plain(&self) -> Name {
        match self.part() {
            Some(part) => format!("{}/{part}", self.owner()).into(),
            None => self.0.clone(),
        }
    }

    /// The part's name: what stands after the last `/` and the blanks at it.
    pub fn part(&self) -> Option<&str> {
        self.0.rsplit_once('/').map(|(_, part)| part.trim_start())
    }
}

impl Decode for Reference {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        Name::decode(reader, node).map(Self)
    }

    fn schema() -> Value {
        let mut schema = schema::defined("name");
        schema["examples"] = json!(["ph-1-a/3", "tide-01/psu1"]);
        schema
    }
}

/// Yes or no.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct YesNo(pub bool);

impl Decode for YesNo {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "yes or no")?;
        match text {
            "yes" | "true" | "Yes" | "True" => return Some(Self(true)),
            "no" | "false" | "No" | "False" => return Some(Self(false)),
            _ => {}
        }
        // By meaning, not by spelling: `on` is one slip of the keys from `no`.
        let meant = match text.to_ascii_lowercase().as_str() {
            "yes" | "true" | "on" | "y" => Some("yes"),
            "no" | "false" | "off" | "n" => Some("no"),
            _ => None,
        };
        let span = reader.tree.span(node);
        reader.push(Fault::BadValue {
            span,
            headline: format!("`{}` is not yes or no", clip(text)),
            advice: meant.map_or_else(
                || "Write yes or no.".to_owned(),
                |word| format!("Write `{word}`?"),
            ),
            edit: meant.map(|word| (span, word.to_owned())),
        });
        None
    }

    fn schema() -> Value {
        schema::defined("yes-or-no")
    }
}

/// Says that a word is none of those that are allowed here, and which is nearest.
pub fn unknown_word(reader: &mut Reader<'_>, node: NodeId, what: &str, words: &[&str]) {
    let text = reader.tree.text(node);
    let nearest = nearest_or_same(text, words);
    let span = reader.tree.span(node);
    let list = words.join(", ");
    let advice = match nearest {
        Some(near) => format!("{} Possible here: {list}.", near.question()),
        None => format!("Possible here: {list}."),
    };
    let trapped = reader.tree.kind(node) == Kind::Plain;
    let trap = trap::taken_for(text).filter(|_| trapped);
    reader.push(Fault::BadValue {
        span,
        headline: format!("`{}` is not {what}", clip(text)),
        advice: match trap {
            Some(taken_for) => {
                format!("{advice} Other YAML readers take this word for {taken_for}.")
            }
            None => advice,
        },
        edit: nearest
            .filter(|near| near.is_sure)
            .map(|near| (span, near.word.to_owned())),
    });
}

/// The nearest of `words`; one that is the same but for its case is nearer than any.
fn nearest_or_same<'w>(text: &str, words: &[&'w str]) -> Option<Near<&'w str>> {
    let same = words.iter().find(|word| word.eq_ignore_ascii_case(text));
    match same {
        Some(word) => Some(Near {
            word,
            is_sure: true,
        }),
        None => nearest(text, words.iter().copied()),
    }
}

/// The start of a text, in whole characters.
pub fn start(text: &str, bytes: usize) -> &str {
    let mut end = bytes.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    &text[..end]
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
    let above_zero = reader.must_be_above_zero();
    let text = reader.scalar(node, Q::WHAT)?;
    let read = if above_zero {
        Q::read_above_zero(text)
    } else {
        Q::read(text)
    };
    read.map_err(|misread| {
        let whole = reader.tree.span(node);
        reader.push(Fault::BadValue {
            span: reader.tree.part_span(node, misread.part),
            headline: misread.headline,
            advice: misread.advice,
            edit: misread.replacement.map(|right| (whole, right)),
        });
    })
    .ok()
}

/// Quantities are read alike; a blanket `impl` would collide with the records.
macro_rules! quantities {
    ($($type:ty),* $(,)?) => {$(
        impl Decode for $type {
            fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
                quantity(reader, node)
            }

            fn schema() -> Value {
                schema::quantity::<$type>()
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
    Amount,
    Money,
    Tolerance,
    Days,
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
        json!({
            "type": "string",
            "pattern": schema::days(),
            "examples": ["2027-03-31"],
        })
    }
}

/// A whole number that counts things.
impl Decode for u32 {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let above_zero = reader.must_be_above_zero();
        let text = reader.scalar(node, "a whole number")?;
        let plain = text.bytes().all(|byte| byte.is_ascii_digit());
        let leading_zero = text.len() > 1 && text.starts_with('0');
        let number = text.parse().ok().filter(|_| plain && !leading_zero);
        if number.is_some_and(|number: Self| number > 0 || !above_zero) {
            return number;
        }
        let span = reader.tree.span(node);
        let headline = match number {
            Some(_) => "`0` stands where at least 1 is wanted".to_owned(),
            None => format!("`{}` is not a whole number", clip(text)),
        };
        let advice = match trap::taken_for(text) {
            _ if number == Some(0) => {
                "Write how many there are, or leave it out where there are none.".to_owned()
            }
            Some(taken_for) => {
                format!("Other YAML readers take this for {taken_for}. Write digits only, like 2.")
            }
            None => "Write digits only, like 2.".to_owned(),
        };
        let right = without_zeros(text).filter(|_| plain && leading_zero);
        reader.push(Fault::BadValue {
            span,
            headline,
            advice,
            edit: right.map(|right| (span, right.to_owned())),
        });
        None
    }

    fn schema() -> Value {
        json!({
            "anyOf": [
                {"type": "integer", "minimum": 0, "maximum": Self::MAX},
                {"type": "string", "pattern": "^(?:0|[1-9][0-9]*)$"},
            ],
            "examples": [2],
        })
    }
}

/// Digits without the zeros before them; not where readers that count such a number in eights make
/// another of it.
fn without_zeros(text: &str) -> Option<&str> {
    let right = text.trim_start_matches('0');
    let number: u32 = right.parse().ok()?;
    let in_eights = u32::from_str_radix(text, 8).ok();
    in_eights
        .is_none_or(|other| other == number)
        .then_some(right)
}

/// A coupler that a field names.
pub type CouplerRef = Catalogued<Coupler>;

impl Field<CouplerRef> {
    /// The coupler, if it is known.
    pub fn coupler(&self) -> Option<&Coupler> {
        self.row()
    }

    /// Whether it is known to be a plug with a fuse in it, or a receptacle for such plugs.
    pub fn is_fused(&self) -> bool {
        self.known().is_some_and(|coupler| coupler.fused)
    }
}

impl Decode for CouplerRef {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a coupler like C13")?;
        if own::is_own(text) {
            return Some(Self::Own(Arc::new(Coupler::own_by_name(text))));
        }
        let found = couplers::find(text);
        if found.is_none() {
            unknown_in_table(reader, node, "coupler", || couplers::nearest(text));
        }
        if let Some(coupler) = found {
            other_half::look(reader, node, coupler);
        }
        found.map(Self::Listed)
    }

    fn schema() -> Value {
        let mut schema = schema::defined("coupler");
        schema["examples"] = json!([
            "C13",
            "NEMA 5-15",
            "IEC 60309 32 A 3P+N+E",
            "CEE 7/7",
            "BS 1363"
        ]);
        schema
    }
}

/// A cordage type that a field names.
pub type CordageRef = Catalogued<Cordage>;

impl Decode for CordageRef {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a cordage type like H05VV-F")?;
        if own::is_own(text) {
            return Some(Self::Own(Arc::new(Cordage::own_by_name(text))));
        }
        let found = cordage::find(text);
        if found.is_none() {
            unknown_in_table(reader, node, "cordage type", || cordage::nearest(text));
        }
        found.map(Self::Listed)
    }

    fn schema() -> Value {
        let mut schema = schema::defined("cordage");
        schema["examples"] = json!(["H05VV-F", "SJT"]);
        schema
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
        schema::any_case(&["B", "C", "D", "inverse-time"])
    }
}

impl Decode for Retention {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        const WHAT: &str = "a kind of retention";
        let found = Self::find(reader.scalar(node, WHAT)?);
        if found.is_none() {
            unknown_word(reader, node, WHAT, &Self::WRITTEN.map(Self::word));
        }
        found
    }

    fn schema() -> Value {
        schema::words(&Self::WRITTEN.map(|kind| (kind.word(), kind.kind().description.as_str())))
    }
}

/// What holds a coupler: a kind of retention, or a latch system of the site's own.
pub type RetentionRef = Catalogued<retention::Kind>;

impl Decode for RetentionRef {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a kind of retention")?;
        if own::is_own(text) {
            return Some(Self::Own(Arc::new(retention::Kind::own_by_name(text))));
        }
        Retention::decode(reader, node).map(|kind| Self::Listed(kind.kind()))
    }

    fn schema() -> Value {
        json!({"anyOf": [Retention::schema(), schema::own()]})
    }
}

impl Decode for WiringInsulation {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let found = Self::from_name(reader.scalar(node, "an insulation like pvc-70")?);
        if found.is_none() {
            unknown_word(reader, node, "an insulation", &wiring::names());
        }
        found
    }

    fn schema() -> Value {
        schema::listed(&wiring::names(), &wiring::pattern())
    }
}

/// Every search for the nearest word looks at a whole table: in a file of unknown words the first have it.
fn unknown_in_table(
    reader: &mut Reader<'_>,
    node: NodeId,
    what: &'static str,
    nearest: impl FnOnce() -> Option<&'static str>,
) {
    let left = reader.searches_left.checked_sub(1);
    reader.searches_left = left.unwrap_or(0);
    let nearest = left.and_then(|_| nearest());
    reader.push(Fault::UnknownWord {
        span: reader.tree.span(node),
        word: clip(reader.tree.text(node)).into(),
        what,
        nearest: nearest.map(Into::into),
    });
}
