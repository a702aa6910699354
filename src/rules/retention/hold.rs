//! What holds a coupler: its own lock, its mate's, or its very shape.

#[cfg(test)]
mod tests;

use crate::model::value::Field;
use crate::tables::couplers::{Coupler, Side};
use crate::tables::retention::{Kind, Needs, Retention};

/// Whether a coupler is held in its mate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Hold<'a> {
    /// Held, by this.
    Held(&'a Kind),
    /// Friction alone.
    Loose,
    /// It has this lock, which its mate cannot take.
    Unsupported(&'a Kind),
    /// It has this lock, and only one of the two halves says of which system it is.
    HalfTold(&'a Kind),
    /// Nobody says.
    Unknown,
}

/// What is known of a coupler and its mate.
#[derive(Clone, Copy, Debug)]
pub(super) struct Locks<'a> {
    /// The coupler of the cord.
    pub coupler: Field<&'a Coupler>,
    /// Which half it is.
    pub side: Side,
    /// Its own lock.
    pub own: Field<&'a Kind>,
    /// What the mate offers; left out, the mate is a plain one.
    pub offered: Field<&'a Kind>,
}

impl<'a> Locks<'a> {
    /// Whether the coupler is held.
    pub fn hold(self) -> Hold<'a> {
        if let Some(by_shape) = self
            .coupler
            .known()
            .and_then(|coupler| coupler.held_by_shape())
        {
            return Hold::Held(by_shape.kind());
        }
        if let Some(by_mate) = self
            .offered
            .known()
            .copied()
            .filter(|kind| self.mate_holds(kind))
        {
            return Hold::Held(by_mate);
        }
        match self.own {
            Field::Absent | Field::Unreadable(_) => Hold::Unknown,
            Field::Given(_) if self.mate_is_unreadable() => Hold::Unknown,
            Field::Given(own) if own.value.retention == Retention::None => Hold::Loose,
            Field::Given(own) => match self.takes(own.value) {
                Some(true) => Hold::Held(own.value),
                None => Hold::HalfTold(own.value),
                // Without its coupler a turning lock cannot be told from a plain one.
                Some(false) if self.coupler.known().is_none() => Hold::Unknown,
                Some(false) => Hold::Unsupported(own.value),
            },
        }
    }

    /// Whether what the mate has holds any plain coupler: a bail swings over it, jaws in an outlet
    /// clamp its pins.
    fn mate_holds(self, offered: &Kind) -> bool {
        match offered.needs {
            Needs::BailAtDevice => true,
            Needs::StandardPins => self.side == Side::Pins,
            _ => false,
        }
    }

    /// Whether the mate can take the lock of the coupler itself; `None` where only one of the two says of which
    /// system it is.
    fn takes(self, own: &Kind) -> Option<bool> {
        match own.needs {
            Needs::Nothing => Some(true),
            // Jaws sit beside the contacts; a half with pins has none.
            Needs::StandardPins => Some(self.side == Side::Contacts),
            Needs::MatchingShroud
            | Needs::MatchingOutlet
            | Needs::BailAtDevice
            | Needs::ThreadedMate => match self.offered.known() {
                Some(offered) => own.is_made_for(offered),
                None => Some(false),
            },
            // Such couplers hold by their shape; this one is none.
            Needs::SameLockingConfiguration | Needs::MatchingPinAndSleeve => Some(false),
        }
    }

    fn mate_is_unreadable(self) -> bool {
        matches!(self.offered, Field::Unreadable(_))
    }
}

/// Why a lock does not hold on its mate, an `outlet` or an `inlet`.
pub(super) fn why_not(lock: &Kind, mate: &str) -> String {
    match lock.needs {
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
