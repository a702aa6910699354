//! Which plug enters which outlet, and which connector which inlet.
//!
//! The half with contacts (outlet, receptacle, connector) always comes first, the half with pins
//! (plug, inlet) second; mating is not symmetric.

use std::borrow::Cow;

use crate::citation::{Citation, Confidence};
use crate::quantity::Temperature;
use crate::tables::couplers::{self, Coupler, Earth, Key, Role, Side};
use crate::tables::words::{Phrase, Words};

mod own;
mod pairs;
mod rules;
#[cfg(test)]
mod tests;

use rules::Rule;

/// Whether the protective conductor is carried through a mated pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EarthMade {
    /// Both halves have an earth contact, and the two meet.
    Yes,
    /// One half has none, or the two do not meet.
    No,
    /// A name does not say whether it has an earth contact.
    Undecided,
}

/// What becomes of line and neutral in a mated pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Polarity {
    /// The pair goes together one way only.
    Kept,
    /// It goes together either way, or no source says that it does not.
    NotAssured,
    /// It goes together one way only, with line and neutral swapped.
    Reversed,
}

/// Whether two couplers mate.
#[derive(Clone, Debug, PartialEq)]
pub enum Mate {
    /// The pins enter and contact is made.
    Fits {
        /// What says so.
        citation: Citation,
        /// Whether the earth is made too. A pair that fits may still leave the equipment unearthed.
        earth: EarthMade,
        /// Whether line and neutral stay apart; reversed is dangerous behind single-pole protection.
        polarity: Polarity,
        /// The colder of the two pin temperatures (IEC 60320), the limit of the pair.
        pair_temperature: Option<Temperature>,
        /// What a reader should know of this pair, a clause in lower case.
        remark: Option<Phrase>,
    },
    /// The pins do not enter.
    DoesNotFit {
        /// Why not, a clause in lower case.
        why: Why,
        /// What says so.
        citation: Citation,
    },
    /// Not decided: to be treated as not fitting, and reported as undecided.
    Unknown {
        /// What is missing or disputed, a clause in lower case.
        why: Phrase,
        /// The standard to look into.
        citation: Citation,
    },
}

/// Why two halves do not go together.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// As a row of a table has it.
    Row(Phrase),
    /// Of this pair alone, with the names of both, which are nobody's to translate.
    Pair(String),
}

impl Why {
    /// The clause in the words of a practice.
    pub fn said_in(&self, words: &Words) -> Cow<'_, str> {
        match self {
            Self::Row(phrase) => phrase.said_in(words),
            Self::Pair(text) => text.into(),
        }
    }
}

impl Mate {
    /// Whether the pins are known to enter.
    pub fn fits(&self) -> bool {
        matches!(self, Self::Fits { .. })
    }

    /// What the answer rests on.
    pub fn citation(&self) -> &Citation {
        match self {
            Self::Fits { citation, .. }
            | Self::DoesNotFit { citation, .. }
            | Self::Unknown { citation, .. } => citation,
        }
    }
}

/// Whether `pins` (plug, inlet) enters `contacts` (outlet, receptacle, connector).
pub fn mates(contacts: &Coupler, pins: &Coupler) -> Mate {
    let (contacts, pins) = (contacts.face(), pins.face());
    if let Some(wrong) = wrong_half(contacts, pins) {
        return wrong;
    }
    if let Some(mate) = own::pair(contacts, pins) {
        return mate;
    }
    if let Some(mate) = pairs::listed(contacts, pins) {
        return mate;
    }
    if !contacts.accepts.is_empty() {
        return accepted(contacts, pins);
    }
    match (&contacts.key, &pins.key) {
        (Key::PinAndSleeve(a), Key::PinAndSleeve(b)) => {
            rules::pin_and_sleeve(contacts, pins, *a, *b)
        }
        (Key::Nema { series: a }, Key::Nema { series: b }) => rules::nema(contacts, pins, a, b),
        _ => rules::named(contacts, pins),
    }
}

fn wrong_half(contacts: &Coupler, pins: &Coupler) -> Option<Mate> {
    let why = if !contacts.role.may_be(Side::Contacts) {
        format!("{contacts} has pins, and contacts are wanted here")
    } else if !pins.role.may_be(Side::Pins) {
        format!("{pins} has contacts, and pins are wanted here")
    } else {
        return None;
    };
    Some(Mate::DoesNotFit {
        why: Why::Pair(why),
        citation: Rule::WrongHalf.citation().clone(),
    })
}

/// An outlet for two faces takes those it is declared for and, for want of a sheet, no other.
fn accepted(contacts: &Coupler, pins: &Coupler) -> Mate {
    if contacts.accepts.contains(&pins.name) {
        fitting(contacts, pins, Rule::DualOutlet.citation(), None)
    } else {
        Rule::NotForDualOutlet.refuses()
    }
}

/// A pair that fits, with what follows from the two couplers.
fn fitting(
    contacts: &Coupler,
    pins: &Coupler,
    citation: &Citation,
    remark: Option<Phrase>,
) -> Mate {
    let kept = contacts.polarised == Some(true) && pins.polarised == Some(true);
    Mate::Fits {
        citation: citation.clone(),
        earth: earth_made(contacts.earth, pins.earth),
        polarity: if kept {
            Polarity::Kept
        } else {
            Polarity::NotAssured
        },
        pair_temperature: colder(contacts, pins),
        remark,
    }
}

fn earth_made(contacts: Earth, pins: Earth) -> EarthMade {
    match (contacts, pins) {
        (Earth::None, _) | (_, Earth::None) => EarthMade::No,
        (Earth::Contact, Earth::Contact) => EarthMade::Yes,
        _ => EarthMade::Undecided,
    }
}

/// IEC 60320-1: a mated pair bears the lower of the two classes.
fn colder(contacts: &Coupler, pins: &Coupler) -> Option<Temperature> {
    let a = contacts.pin_temperature.as_ref()?.value;
    let b = pins.pin_temperature.as_ref()?.value;
    Some(if a < b { a } else { b })
}

/// The connectors that serve an inlet, the surest first.
pub fn suitable_for_inlet(inlet: &Coupler) -> Vec<&'static Coupler> {
    surest(
        couplers::all().filter(|coupler| coupler.role != Role::Pins),
        |contacts| mates(contacts, inlet),
    )
}

/// The plugs that an outlet takes, the surest first.
pub fn suitable_plugs_for(outlet: &Coupler) -> Vec<&'static Coupler> {
    surest(
        couplers::all().filter(|coupler| coupler.role != Role::Contacts),
        |pins| mates(outlet, pins),
    )
}

/// Those that fit: by earth made, polarity kept, certainty of the answer, and name.
fn surest(
    candidates: impl Iterator<Item = &'static Coupler>,
    mate: impl Fn(&'static Coupler) -> Mate,
) -> Vec<&'static Coupler> {
    let mut fitting: Vec<(RankOfFit, &'static Coupler)> = candidates
        .filter_map(|coupler| Some((rank(coupler, &mate(coupler))?, coupler)))
        .collect();
    fitting.sort_by(|(a, first), (b, second)| (a, &first.name).cmp(&(b, &second.name)));
    fitting.into_iter().map(|(_, coupler)| coupler).collect()
}

/// Lower is surer.
type RankOfFit = (bool, EarthMade, Polarity, Confidence, bool);

fn rank(coupler: &Coupler, mate: &Mate) -> Option<RankOfFit> {
    let Mate::Fits {
        citation,
        earth,
        polarity,
        remark,
        ..
    } = mate
    else {
        return None;
    };
    Some((
        coupler.withdrawn,
        *earth,
        *polarity,
        citation.confidence,
        remark.is_some(),
    ))
}
