//! What stopped the tool itself: a wrong option, no site, a file that could not be written.
//!
//! Faults of a *site* are findings and live elsewhere.

use std::fmt;

use crate::ink::message;

/// Why the job could not be done, in plain words, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// What went wrong, without a full stop.
    pub what: String,
    /// What to do next, where there is something to say.
    pub advice: Option<String>,
}

impl Failure {
    /// A failure that speaks for itself; the long names in it are cut.
    pub fn new(what: impl AsRef<str>) -> Self {
        Self {
            what: message(what.as_ref()).into_owned(),
            advice: None,
        }
    }

    /// Adds what to do next.
    pub fn advise(self, advice: impl AsRef<str>) -> Self {
        Self {
            advice: Some(message(advice.as_ref()).into_owned()),
            ..self
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)
    }
}

impl std::error::Error for Failure {}
