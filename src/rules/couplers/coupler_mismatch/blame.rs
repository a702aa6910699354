//! Which of two halves that do not go together is the wrong one: the voltage decides, before
//! anything is said about what to fit. A plug that enters a receptacle of another voltage would feed
//! equipment with that voltage.

use crate::analysis::Analysis;
use crate::tables::couplers::Coupler;

use super::super::halves::Half;
use super::super::stress::{Misfit, Stress};
use super::Apart;

/// The half to change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Blame {
    /// The cord's, or the PDU's: what it should be fitted to suits the voltage.
    Own,
    /// What it should be fitted to, which is made for another voltage than it has.
    Mate,
    /// Both are made for another voltage.
    Both,
    /// They are made for different voltages, and which one they have is not known.
    NotKnown,
}

/// How a half stands to the voltage at it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Suits {
    Yes,
    No,
    NotKnown,
}

impl Blame {
    pub fn of(analysis: &Analysis<'_>, apart: &Apart<'_>) -> Self {
        let stress = Stress::at(analysis, apart.pair.id);
        let suits = |half: &Half<'_>| suits(stress, &half.coupler.value);
        match (suits(&apart.own), suits(&apart.mate)) {
            (Suits::No, Suits::No) => Self::Both,
            (_, Suits::No) => Self::Mate,
            (_, Suits::Yes) => Self::Own,
            (_, Suits::NotKnown) if are_alike(apart) => Self::Own,
            (_, Suits::NotKnown) => Self::NotKnown,
        }
    }
}

fn suits(stress: Option<Stress>, coupler: &Coupler) -> Suits {
    match stress.map(|stress| stress.misfit(coupler)) {
        Some(None) => Suits::Yes,
        Some(Some(
            Misfit::Above { .. }
            | Misfit::Below { .. }
            | Misfit::OtherForm { .. }
            | Misfit::Frequency { .. },
        )) => Suits::No,
        Some(Some(Misfit::NotSaid { .. } | Misfit::NoFrequency { .. })) | None => Suits::NotKnown,
    }
}

/// Whether both are made for the same voltages, so that the voltage tells them apart no further.
fn are_alike(apart: &Apart<'_>) -> bool {
    let rated = |half: &Half<'_>| half.coupler.value.voltage.as_ref().map(|rated| rated.value);
    rated(&apart.own).is_some() && rated(&apart.own) == rated(&apart.mate)
}
