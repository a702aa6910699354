//! `coupler-types:` — couplers that the tables lack, described from the site's own papers.

use serde_json::{Value, json};

use crate::quantity::{Current, Temperature, Voltage};
use crate::tables::couplers::{Earth, Neutral, Poles, Role};
use crate::tables::retention::Retention;
use crate::yaml::NodeId;

use super::decode::{Decode, Reader, list, record, words};
use super::text::{CouplerRef, YesNo, unknown_word};
use super::value::{Field, Name, Spanned};

record! {
    /// A coupler that the tables lack, described from papers of the site's own; its name begins with `own-`.
    OwnCoupler: "coupler type";
    /// A coupler of the tables that it is like in shape: what is not written here is as with that one.
    "like" => like: Field<CouplerRef>,
    /// Which half it is.
    "half" => half: Field<Half>,
    /// Its contacts or pins: of `L1`, `L2`, `L3`, `N`, `L/N` (line or neutral, as the supply has it) and `PE`.
    "poles" => poles: Field<OwnPoles>,
    /// Its rated current.
    "current" (above_zero) => current: Field<Current>,
    /// The highest voltage between any two of its poles.
    "voltage" (above_zero) => voltage: Field<Voltage>,
    /// The couplers that it goes together with, of the tables or of the site's own.
    "mates" => mates: Field<Mates>,
    /// Whether it goes in one way round only.
    "one-way" => one_way: Field<YesNo>,
    /// What holds it in its mate by its own shape.
    "holds" => holds: Field<Retention>,
    /// The hottest air in which its rating holds.
    "ambient" => ambient: Field<Temperature>,
    /// The hottest that its pins may get.
    "temperature" => temperature: Field<Temperature>,
    /// The paper that says all this: data sheet, sheet number, date.
    "source" (required) => source: Field<Name>,
}

words! {
    /// Which half of a pair a coupler is.
    Half: "a half of a pair";
    /// An outlet, a receptacle or a connector.
    Contacts = "contacts",
    /// A plug or an inlet.
    Pins = "pins",
    /// Both halves go by the name.
    Both = "both",
}

impl Half {
    /// The part that it plays in a pair.
    pub fn role(self) -> Role {
        match self {
            Self::Contacts => Role::Contacts,
            Self::Pins => Role::Pins,
            Self::Both => Role::Either,
        }
    }
}

/// The poles of a coupler of the site's own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OwnPoles {
    /// Line and neutral poles.
    pub poles: Poles,
    /// The earth contact.
    pub earth: Earth,
}

/// The words of the poles, in the order in which they are offered.
const POLES: [&str; 6] = ["L1", "L2", "L3", "N", "L/N", "PE"];

impl OwnPoles {
    /// What the words say together.
    ///
    /// # Errors
    /// What is wrong with them, as a clause.
    fn of(words: &[&str]) -> Result<Self, &'static str> {
        let has = |word| words.contains(&word);
        let lines = ["L1", "L2", "L3"].map(has);
        let lines = lines.into_iter().filter(|has| *has).count() as u8;
        let neutral = match (has("N"), has("L/N")) {
            (true, true) => return Err("`N` and `L/N` cannot both be there"),
            (true, false) => Neutral::Own,
            (false, true) => Neutral::ByWiring,
            (false, false) => Neutral::None,
        };
        let twice = words
            .iter()
            .enumerate()
            .any(|(at, word)| words[..at].contains(word));
        if twice {
            return Err("a pole stands twice");
        }
        if lines == 0 {
            return Err("no line is among the poles");
        }
        if neutral == Neutral::ByWiring && lines > 1 {
            return Err("`L/N` goes with a single line");
        }
        Ok(Self {
            poles: Poles { lines, neutral },
            earth: if has("PE") {
                Earth::Contact
            } else {
                Earth::None
            },
        })
    }
}

impl Decode for OwnPoles {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let words = list(
            reader,
            node,
            "a list of poles like [L1, N, PE]",
            |reader, item| {
                let text = reader.scalar(item, "a pole like L1")?;
                let known = POLES.into_iter().find(|pole| *pole == text);
                if known.is_none() {
                    unknown_word(reader, item, "a pole of a coupler", &POLES);
                }
                known
            },
        )?;
        let poles = Self::of(&words);
        if let Err(why) = poles {
            let advice = "Write every contact once, like [L1, L2, L3, N, PE] or [L1, L/N, PE].";
            reader.bad(reader.tree.span(node), why.to_owned(), advice.to_owned());
        }
        poles.ok()
    }

    fn schema() -> Value {
        json!({"type": "array", "items": {"enum": POLES}})
    }
}

/// The couplers that one goes together with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mates(pub Vec<Spanned<CouplerRef>>);

impl Decode for Mates {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let mates = list(
            reader,
            node,
            "a list of couplers like [C14]",
            |reader, item| {
                let span = reader.tree.span(item);
                CouplerRef::decode(reader, item).map(|value| Spanned { value, span })
            },
        );
        mates.map(Self)
    }

    fn schema() -> Value {
        json!({"type": "array", "items": CouplerRef::schema()})
    }
}
