//! Couplers in pairs, as the rules of this room walk over them, and what they say of several.

use crate::citation::Citation;
use crate::finding::Level;

pub use crate::analysis::halves::{Half, Owner, Pair, pairs, unused};

/// A level that a limit bears: what is known from memory or practice alone makes no error.
pub fn borne_by(level: Level, basis: &[Citation]) -> Level {
    let is_firm = basis.iter().all(|citation| citation.confidence.is_firm());
    if is_firm {
        level
    } else {
        level.min(Level::Warning)
    }
}

/// Names in a list that may be long: `W-1, W-2, W-3 and 5 more`.
pub fn listed<N: AsRef<str>>(names: &[N]) -> String {
    const SHOWN: usize = 4;
    let shown: Vec<&str> = names.iter().take(SHOWN).map(AsRef::as_ref).collect();
    match names.len().saturating_sub(SHOWN) {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}
