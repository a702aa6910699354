//! What holds a coupler: its own lock, its mate's, or its very shape.

#[cfg(test)]
mod tests;

use crate::model::text::CouplerRef;
use crate::model::value::Field;
use crate::tables::couplers::Side;
use crate::tables::retention::{Needs, Retention};

/// Whether a coupler is held in its mate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hold {
    /// Held, by this.
    Held(Retention),
    /// Friction alone.
    Loose,
    /// It has this lock, which its mate cannot take.
    Unsupported(Retention),
    /// Nobody says.
    Unknown,
}

/// What is known of a coupler and its mate.
#[derive(Clone, Copy, Debug)]
pub(super) struct Locks<'a> {
    /// The coupler of the cord.
    pub coupler: &'a Field<CouplerRef>,
    /// Which half it is.
    pub side: Side,
    /// Its own lock.
    pub own: Field<Retention>,
    /// What the mate offers; left out, the mate is a plain one.
    pub offered: &'a Field<Retention>,
}

impl Locks<'_> {
    /// Whether the coupler is held.
    pub fn hold(self) -> Hold {
        if let Some(by_shape) = self
            .coupler
            .known()
            .and_then(|coupler| coupler.held_by_shape())
        {
            return Hold::Held(by_shape);
        }
        if let Some(by_mate) = self
            .offered
            .known()
            .copied()
            .filter(|&kind| self.mate_holds(kind))
        {
            return Hold::Held(by_mate);
        }
        match self.own {
            Field::Absent | Field::Unreadable(_) => Hold::Unknown,
            Field::Given(_) if self.mate_is_unreadable() => Hold::Unknown,
            Field::Given(own) if own.value == Retention::None => Hold::Loose,
            Field::Given(own) if self.takes(own.value) => Hold::Held(own.value),
            // Without its coupler a turning lock cannot be told from a plain one.
            Field::Given(_) if self.coupler.known().is_none() => Hold::Unknown,
            Field::Given(own) => Hold::Unsupported(own.value),
        }
    }

    /// Whether what the mate has holds any plain coupler: a bail swings over it, jaws in an outlet
    /// clamp its pins.
    fn mate_holds(self, offered: Retention) -> bool {
        match offered.kind().needs {
            Needs::BailAtDevice => true,
            Needs::StandardPins => self.side == Side::Pins,
            _ => false,
        }
    }

    /// Whether the mate can take the lock of the coupler itself.
    fn takes(self, own: Retention) -> bool {
        match own.kind().needs {
            Needs::Nothing => true,
            // Jaws sit beside the contacts; a half with pins has none.
            Needs::StandardPins => self.side == Side::Contacts,
            Needs::MatchingShroud
            | Needs::MatchingOutlet
            | Needs::BailAtDevice
            | Needs::ThreadedMate => self.offered.known() == Some(&own),
            // Such couplers hold by their shape; this one is none.
            Needs::SameLockingConfiguration | Needs::MatchingPinAndSleeve => false,
        }
    }

    fn mate_is_unreadable(self) -> bool {
        matches!(self.offered, Field::Unreadable(_))
    }
}

/// Why a lock does not hold on its mate, an `outlet` or an `inlet`.
pub(super) fn why_not(lock: Retention, mate: &str) -> String {
    match lock.kind().needs {
        Needs::Nothing => "it holds nothing".into(),
        Needs::StandardPins => "its jaws clamp pins, and this half has the pins itself".into(),
        Needs::MatchingShroud => {
            format!("it hooks behind a shroud, and this {mate} has none for it")
        }
        Needs::MatchingOutlet => format!("this {mate} has no catch for it"),
        Needs::BailAtDevice => format!("no bail is fitted at this {mate}"),
        Needs::ThreadedMate => format!("this {mate} has no thread"),
        Needs::SameLockingConfiguration => "the coupler has straight blades".into(),
        Needs::MatchingPinAndSleeve => "the coupler is no pin and sleeve one".into(),
    }
}
