//! What was wrong with the references between things.

use crate::model::circuits::Supply;
use crate::model::cords::Cord;
use crate::model::fault::Noted;
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Name};
use crate::source::Span;
use crate::spelling::Near;

use super::links::Hop;

impl LinkFault {
    /// Whether it is a name that leads nowhere, and this is where it stands.
    pub(super) fn is_at(&self, at: Span) -> bool {
        matches!(self, Self::UnknownName { span, .. } if *span == at)
    }
}

/// One fault of the references.
#[derive(Clone, Debug, PartialEq)]
pub enum LinkFault {
    /// A reference to a thing that is nowhere.
    UnknownName {
        /// The part of the reference that leads nowhere.
        span: Span,
        /// The reference as a whole.
        reference: Name,
        /// What kind of thing was wanted.
        what: &'static str,
        /// The nearest name there is; sure only where `span` holds just the text, so that the name
        /// can take its place.
        nearest: Option<Near<Name>>,
        /// The thing that refers.
        owner: Name,
    },
    /// Two cords on one outlet or one inlet.
    DoubleBooked {
        /// `outlet` or `inlet`.
        what: &'static str,
        /// Its name.
        name: Name,
        /// The cord that took it first, and where it says so.
        first: (Id<Cord>, Span),
        /// The cord that takes it again, and where it says so.
        again: (Id<Cord>, Span),
    },
    /// Power strips and devices that feed themselves in a ring.
    Loop {
        /// The strips, cords and outlets of devices, each fed from the next, the last from the first.
        ring: Vec<Hop>,
    },
    /// Supplies that are fed from themselves through others.
    SourceLoop {
        /// Each is fed from the next, the last from the first.
        ring: Vec<Id<Supply>>,
    },
    /// A circuit takes a pole that its supply does not have.
    PoleMissing {
        /// Where the pole is named.
        span: Span,
        /// What takes it.
        owner: Name,
        /// The pole.
        pole: &'static str,
        /// What should have it.
        feeder: Name,
    },
    /// A fault of the definitions as written that shows only when a model is taken as a whole.
    Written(Noted),
    /// Nothing says what feeds a power strip.
    PduUnfed {
        /// The strip.
        pdu: Id<Pdu>,
    },
}
