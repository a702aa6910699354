//! What stopped the tool itself: a wrong option, no site, a file that could not be written.
//!
//! Faults of a *site* are findings and live elsewhere.

use std::fmt;

/// Why the job could not be done, in plain words, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// What went wrong, without a full stop.
    pub what: String,
    /// What to do next, where there is something to say.
    pub advice: Option<String>,
}

impl Failure {
    /// A failure that speaks for itself.
    pub fn new(what: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            advice: None,
        }
    }

    /// Adds what to do next.
    pub fn advise(self, advice: impl Into<String>) -> Self {
        Self {
            advice: Some(advice.into()),
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

impl miette::Diagnostic for Failure {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        let advice = self.advice.as_deref()?;
        Some(Box::new(advice))
    }
}
