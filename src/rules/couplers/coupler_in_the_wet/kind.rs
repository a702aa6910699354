//! Kinds of couplers that keep no water out, and how that is known.

use crate::citation::{Citation, Confidence};
use crate::tables::couplers::{Coupler, Family};
use crate::tables::words::Words;

const UNKNOWN: &str = "edition not established";

/// A kind of coupler that keeps no water out unless it is marked so.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Kind {
    Appliance,
    Household,
    Nema,
    Own,
}

impl Kind {
    /// `None` for IEC 60309, which is made splash-proof (IP44) or watertight (IP67) only.
    pub fn of(coupler: &Coupler) -> Option<Self> {
        match coupler.family {
            Family::Iec60320 => Some(Self::Appliance),
            Family::National => Some(Self::Household),
            Family::Nema => Some(Self::Nema),
            Family::Own => Some(Self::Own),
            Family::Iec60309 => None,
        }
    }

    /// Tells apart the findings of one zone.
    pub fn word(self) -> &'static str {
        match self {
            Self::Appliance => "iec-60320",
            Self::Household => "household",
            Self::Nema => "nema",
            Self::Own => "own",
        }
    }

    /// For the middle of a sentence.
    pub fn said_in(self, words: &Words) -> String {
        let socket = words.socket;
        match self {
            Self::Appliance => "IEC 60320 couplers".to_owned(),
            Self::Household => format!("household plugs and {socket}s"),
            Self::Nema => format!("NEMA plugs and {socket}s"),
            Self::Own => "couplers of the site's own".to_owned(),
        }
    }

    /// Where it is said that it keeps no water out.
    pub fn basis(self) -> Citation {
        let (standard, clause, confidence) = match self {
            Self::Own => {
                return Citation::common_practice(
                    "a coupler keeps no water out unless it is marked so",
                );
            }
            Self::Appliance => (
                "IEC 60320-1",
                "scope: ordinary couplers, IPX0",
                Confidence::TwoCopies,
            ),
            Self::Household => (
                "IEC 60884-1",
                "degree of protection: IPX0 unless marked",
                Confidence::FromMemory,
            ),
            Self::Nema => (
                "ANSI/NEMA WD 6",
                "shapes only: no protection against water unless marked",
                Confidence::FromMemory,
            ),
        };
        Citation::new(standard, clause, UNKNOWN, confidence)
    }
}
