//! Couplers by name: plugs, receptacles, connectors and inlets, with their ratings and where each figure comes from.
//!
//! A definition names a coupler by its face: an outlet or a cord's connector by the contacts (`C13`),
//! a cord's plug or an inlet by the pins (`C14`). NEMA, IEC 60309 and several national names stand for
//! both halves; which one is meant follows from the key that holds the name. See [`Role`].

use std::fmt;
use std::sync::LazyLock;

use crate::citation::{Citation, Cited};
use crate::quantity::{Current, Temperature, Voltage};
use crate::tables::Practice;
use crate::tables::retention::Retention;

mod advice;
mod catalogue;
mod dual;
mod frequencies;
mod locking;
mod marking;
mod national;
mod nema;
mod offered;
mod own;
mod own_voltage;
mod pattern;
mod pin_and_sleeve;
mod row;
mod sheets;
mod sleeve_names;
mod spelling;
mod standards;
#[cfg(test)]
mod tests;
mod variant;

pub(crate) use advice::advice;
use catalogue::Catalogue;
pub use frequencies::Frequencies;
pub use own::Own;
pub(crate) use own_voltage::form_of_its_own;
pub use pattern::{names, pattern};
use pin_and_sleeve::PoleCount;
pub use pin_and_sleeve::{PinAndSleeve, Series};
pub(crate) use variant::Variant;

/// The body of standards that a coupler belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// Appliance couplers, IEC 60320.
    Iec60320,
    /// ANSI/NEMA WD 6 configurations, and the 50 A locking family beside them.
    Nema,
    /// Pin-and-sleeve couplers, IEC 60309.
    Iec60309,
    /// Plugs and sockets of one country or region.
    National,
    /// In no table: described by the site itself.
    Own,
}

/// One half of a mated pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Receptacle, outlet or connector: the half that is live when open.
    Contacts,
    /// Plug or inlet.
    Pins,
}

/// Which half a coupler's name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Only the half with contacts, for example `C13` or `CEE 7/3`.
    Contacts,
    /// Only the half with pins, for example `C14` or `CEE 7/7`.
    Pins,
    /// Both halves go by this name, for example `NEMA 5-15` or `BS 1363`.
    Either,
}

impl Role {
    /// Whether the name can stand for that half.
    pub fn may_be(self, side: Side) -> bool {
        match self {
            Self::Either => true,
            Self::Contacts => side == Side::Contacts,
            Self::Pins => side == Side::Pins,
        }
    }
}

/// What a coupler offers for the neutral.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Neutral {
    /// Every pole is a line conductor.
    None,
    /// A pole of its own, marked or keyed as the neutral.
    Own,
    /// The second of two poles is neutral or line, as the supply has it (IEC 60320, IEC 60309 2P+E).
    ByWiring,
}

/// The current-carrying poles of a coupler.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Poles {
    /// Line conductors; with [`Neutral::ByWiring`] the one that is always a line.
    pub lines: u8,
    /// What there is for the neutral.
    pub neutral: Neutral,
}

impl Poles {
    /// Line and neutral poles together, the earth left out.
    pub fn count(self) -> u8 {
        self.lines + u8::from(self.neutral != Neutral::None)
    }
}

/// What a coupler offers for the protective conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Earth {
    /// No earth contact.
    None,
    /// An earth contact; whether it meets its mate's is said by [`crate::tables::mating::mates`].
    Contact,
    /// The name covers forms with and without one: to be asked, never assumed.
    NotNamed,
}

/// The rated current of a coupler under one practice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rated {
    /// What the plain part bears; `None` where no figure was found, which is not zero.
    pub current: Option<Cited<Current>>,
    /// A higher figure that holds only for a part that carries it as its own mark.
    pub only_where_marked: Option<Cited<Current>>,
}

/// The rated voltage of a coupler.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatedVoltage {
    /// The highest voltage between any two poles.
    pub highest: Voltage,
    /// The highest voltage between line and neutral, where that is lower.
    pub to_neutral: Option<Voltage>,
    /// The lowest voltage between lines, where the keying stands for a range (IEC 60309).
    pub lowest: Option<Voltage>,
}

/// What a coupler's mating depends on.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Key {
    /// The name alone: IEC 60320 sheets and national types.
    Named,
    /// A NEMA configuration.
    Nema {
        /// Poles, voltage and locking in one word, for example `L6`; the whole name of what is no series.
        series: String,
    },
    /// An IEC 60309 configuration.
    PinAndSleeve(PinAndSleeve),
    /// What the site says of a coupler of its own.
    Own(Box<Own>),
}

/// A kind of coupler with its ratings.
#[derive(Clone, Debug, PartialEq)]
pub struct Coupler {
    /// The canonical name, for example `C13` or `IEC 60309 32 A 3P+N+E`.
    pub name: String,
    /// The body of standards it belongs to.
    pub family: Family,
    /// Which half the name stands for.
    pub role: Role,
    /// Line and neutral poles.
    pub poles: Poles,
    /// Earth contact.
    pub earth: Earth,
    /// Rated voltage; `None` where the keying that sets it is not written or says none.
    pub voltage: Option<Cited<RatedVoltage>>,
    /// The frequencies that its keying stands for (IEC 60309); `None` where it stands for none.
    pub frequencies: Option<Cited<Frequencies>>,
    /// The hottest the inlet's pins may get (IEC 60320: 70, 120 or 155 °C); `None` outside that family.
    pub pin_temperature: Option<Cited<Temperature>>,
    /// Whether it goes in only one way round; `None` where that depends on the mate or was not found.
    pub polarised: Option<bool>,
    /// Whether the plug carries a fuse of its own (BS 1363).
    pub fused: bool,
    /// Whether its blades turn to lock (NEMA L).
    pub locking: bool,
    /// Whether the standard has withdrawn it.
    pub withdrawn: bool,
    /// The pins-side couplers it takes, where it takes several; else empty.
    pub accepts: Vec<String>,
    /// The source of poles, earth and existence.
    pub citation: Citation,
    pub(crate) key: Key,
    iec: Rated,
    nec: Rated,
    /// What its plug bears, where the standard gives plug and socket ratings of their own.
    plug: Option<Rated>,
    /// The coupler whose shape it has, where one shape is made for several ratings.
    face: Option<String>,
    /// Other spellings.
    aliases: Vec<String>,
    /// The place in [`all`], the key of mating lookups.
    index: u16,
}

impl Coupler {
    /// The rated current of the part by itself under a practice.
    pub fn rated(&self, practice: Practice) -> &Rated {
        match practice {
            Practice::Iec => &self.iec,
            Practice::Nec => &self.nec,
        }
    }

    /// The rated current of one half of it.
    pub fn rated_as(&self, side: Side, practice: Practice) -> &Rated {
        match (side, &self.plug) {
            (Side::Pins, Some(plug)) => plug,
            _ => self.rated(practice),
        }
    }

    /// What its plug bears, where that is not what the socket bears.
    pub(crate) fn plug_alone(&self, practice: Practice) -> Option<&Cited<Current>> {
        let plug = self.rated_as(Side::Pins, practice).current.as_ref();
        plug.filter(|plug| self.rated(practice).current.as_ref() != Some(plug))
    }

    /// The coupler that its shape is named after: what fits, and where it is at home, goes by the shape.
    pub fn face(&self) -> &Self {
        self.face.as_deref().and_then(find).unwrap_or(self)
    }

    /// The rated current with a given plug in it: an outlet that takes two faces has the rating of the plug inserted.
    pub fn rated_with<'a>(&'a self, plug: &'a Self, practice: Practice) -> &'a Rated {
        if self.accepts.contains(&plug.name) {
            plug.rated_as(Side::Pins, practice)
        } else {
            self.rated(practice)
        }
    }

    /// IEC 60309: size, poles and keying; `None` for any other family.
    pub fn pin_and_sleeve(&self) -> Option<PinAndSleeve> {
        match self.key {
            Key::PinAndSleeve(key) => Some(key),
            Key::Named | Key::Nema { .. } | Key::Own(_) => None,
        }
    }

    /// What holds it in its mate by its own shape: locking blades, or the catch of IEC 60309.
    pub fn held_by_shape(&self) -> Option<Retention> {
        match self.family {
            Family::Nema if self.locking => Some(Retention::TwistLock),
            Family::Iec60309 => Some(Retention::PinAndSleeveCatch),
            Family::Own => self.own_facts()?.holds,
            Family::Nema | Family::Iec60320 | Family::National => None,
        }
    }

    /// Other spellings that the tables have.
    pub(crate) fn aliases(&self) -> &[String] {
        &self.aliases
    }

    /// The place among [`all`].
    pub(crate) fn index(&self) -> u16 {
        self.index
    }
}

impl fmt::Display for Coupler {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name)
    }
}

static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(Catalogue::embedded);

/// The coupler of that name, in any of the spellings the trade uses; letter case and blanks do not matter.
pub fn find(text: &str) -> Option<&'static Coupler> {
    CATALOGUE.find(text)
}

/// The canonical name nearest to a misspelt one, of the same standard and rating; `None` where none comes near.
pub fn nearest(text: &str) -> Option<&'static str> {
    CATALOGUE.nearest(text)
}

/// Whether a table that writes `pattern` means the coupler of this name: `NEMA *` means every one whose name
/// begins so.
pub(crate) fn is_meant(pattern: &str, name: &str) -> bool {
    match pattern.strip_suffix(" *") {
        Some(start) => name
            .strip_prefix(start)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with(' ')),
        None => pattern == name,
    }
}

/// Every coupler, sorted by name.
pub fn all() -> impl Iterator<Item = &'static Coupler> {
    CATALOGUE.couplers.iter()
}

/// The half that the spelling itself names: `NEMA 5-15P` is a plug, `NEMA 5-15R` a receptacle, `332C6W` a
/// connector, `C14` has pins.
///
/// `None` where both halves go by the name. The numbers of parts in the 50 A locking family tell halves apart, too,
/// but only from memory: nothing is found by them.
pub fn side_written(text: &str) -> Option<Side> {
    let coupler = find(text)?;
    match coupler.role {
        Role::Contacts => Some(Side::Contacts),
        Role::Pins => Some(Side::Pins),
        Role::Either => CATALOGUE.side_written(text, coupler),
    }
}

/// The name of one half of a coupler, where a letter tells halves apart; else the name of both.
pub(crate) fn of_half(coupler: &Coupler, side: Side) -> String {
    match (coupler.family, side) {
        (Family::Nema, Side::Pins) if coupler.name.starts_with("NEMA ") => format!("{coupler}P"),
        (Family::Nema, Side::Contacts) if coupler.name.starts_with("NEMA ") => {
            format!("{coupler}R")
        }
        _ => coupler.name.clone(),
    }
}

/// Trade codes of an IEC 60309 configuration: plug, connector, receptacle, inlet.
pub(crate) fn trade_codes(coupler: &Coupler) -> Vec<String> {
    let codes = coupler.pin_and_sleeve().map(sleeve_names::codes);
    let mut codes = codes.unwrap_or_default();
    // Where a code may mean another face, too, it is none of its names.
    codes.retain(|code| find(code) == Some(coupler));
    codes
}

/// The variants that a spelling names besides the configuration: `NEMA IG5-20R` has an isolated earth.
pub(crate) fn variants_written(text: &str) -> Vec<&'static Variant> {
    let found = CATALOGUE.variant(&spelling::folded(text));
    found.map_or_else(Vec::new, |(_, variants)| variants)
}
