//! What holds a coupler in its mate, and what the mate must offer for it.

use std::sync::LazyLock;

use serde::Deserialize;
use smol_str::SmolStr;

use crate::citation::Citation;
use crate::tables::{Provenance, Table, own};

/// The kinds of retention, by how they hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Retention {
    /// Friction alone.
    None,
    /// Jaws on the pins.
    PinGrip,
    /// A latch on the mate's shroud.
    ShroudLatch,
    /// A latch in a latching outlet.
    OutletLatch,
    /// A wire bail or clip at the device.
    Bail,
    /// A ring nut or screw.
    ScrewRing,
    /// Locking blades.
    TwistLock,
    /// The catch of IEC 60309; comes with the coupler and is never written in a definition.
    PinAndSleeveCatch,
}

/// What the mate must offer for a retention to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Needs {
    /// Nothing is held, so nothing is needed.
    Nothing,
    /// Pins of the standard size, which every inlet and plug has.
    StandardPins,
    /// A shroud made for the latch.
    MatchingShroud,
    /// A latching outlet made for the plug.
    MatchingOutlet,
    /// A bail or clip fitted at the device.
    BailAtDevice,
    /// A thread at the mate.
    ThreadedMate,
    /// The same NEMA L configuration.
    SameLockingConfiguration,
    /// An IEC 60309 coupler of the same configuration.
    MatchingPinAndSleeve,
}

/// A kind of retention with what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Kind {
    /// The word of the format, or the name of a site's own system.
    pub name: SmolStr,
    /// Which kind.
    pub retention: Retention,
    /// What the mate must offer.
    pub needs: Needs,
    /// How it holds, a clause in lower case.
    pub description: String,
    /// Whether it holds at all, its needs being met.
    pub holds: bool,
    /// Whether it holds on a standard mate that is not made for it.
    pub holds_on_plain_mate: bool,
    /// What to watch for, a clause in lower case.
    pub caution: String,
    /// Of a site's own system: others in whose parts it holds, too.
    pub mates: Vec<SmolStr>,
    /// Where this comes from.
    pub citation: Citation,
}

impl Kind {
    /// A name that nothing is known of yet: what the site says of it may stand in another file.
    pub fn own_by_name(name: &str) -> Self {
        Self {
            name: name.into(),
            ..Retention::None.kind().clone()
        }
    }

    /// A system of the site's own: a kind of the tables that holds in mates made for this very system.
    pub fn own_like(name: SmolStr, like: &Self, mates: Vec<SmolStr>, citation: Citation) -> Self {
        Self {
            name,
            mates,
            citation,
            ..like.clone()
        }
    }

    /// Whether a lock and what its mate offers are made for each other; `None` where only one of them names
    /// its system.
    pub fn is_made_for(&self, offered: &Self) -> Option<bool> {
        let lists = |one: &Self, other: &Self| one.mates.contains(&other.name);
        if self.name == offered.name || lists(self, offered) || lists(offered, self) {
            return Some(true);
        }
        let is_half_told = own::is_own(&self.name) != own::is_own(&offered.name);
        match is_half_told && self.retention == offered.retention {
            true => None,
            false => Some(false),
        }
    }
}

impl Retention {
    /// The kinds that a definition may name, in the order of the format.
    pub const WRITTEN: [Self; 7] = [
        Self::None,
        Self::PinGrip,
        Self::ShroudLatch,
        Self::OutletLatch,
        Self::Bail,
        Self::ScrewRing,
        Self::TwistLock,
    ];

    /// The word of the format.
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::PinGrip => "pin-grip",
            Self::ShroudLatch => "shroud-latch",
            Self::OutletLatch => "outlet-latch",
            Self::Bail => "bail",
            Self::ScrewRing => "screw-ring",
            Self::TwistLock => "twist-lock",
            Self::PinAndSleeveCatch => "pin-and-sleeve-catch",
        }
    }

    /// The kind that a definition's word names.
    pub fn find(word: &str) -> Option<Self> {
        Self::WRITTEN.into_iter().find(|kind| kind.word() == word)
    }

    /// What is known of the kind.
    ///
    /// # Panics
    /// If the embedded table lacks it: a fault of the build, met by a test that asks for all of them.
    pub fn kind(self) -> &'static Kind {
        match KINDS.iter().find(|kind| kind.retention == self) {
            Some(kind) => kind,
            None => panic!("retention.yaml lacks {}", self.word()),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    kind: Retention,
    needs: Needs,
    description: String,
    holds: bool,
    on_plain_mate: bool,
    caution: String,
    from: Provenance,
}

static KINDS: LazyLock<Vec<Kind>> = LazyLock::new(|| {
    let mut table: Table<Row> = Table::embedded("retention", include_str!("data/retention.yaml"));
    let rows = std::mem::take(&mut table.rows);
    let decode = |row: Row| Kind {
        citation: table.cite(&row.from),
        name: SmolStr::new_static(row.kind.word()),
        mates: Vec::new(),
        retention: row.kind,
        needs: row.needs,
        description: row.description,
        holds: row.holds,
        holds_on_plain_mate: row.on_plain_mate,
        caution: row.caution,
    };
    rows.into_iter().map(decode).collect()
});

#[cfg(test)]
mod tests;
