//! A report that ends where the budget does.

use std::io::{self, Write};

use crate::budget::{Budget, Work};
use crate::failure::Failure;

/// Writes on until the bytes of the budget are spent.
pub(super) struct Bounded<W> {
    to: W,
    left: u64,
    budget: Budget,
    is_spent: bool,
}

impl<W: Write> Bounded<W> {
    pub(super) fn new(to: W, budget: &Budget) -> Self {
        Self {
            to,
            left: budget.of(Work::Output),
            budget: *budget,
            is_spent: false,
        }
    }

    /// What was written to.
    pub(super) fn into_inner(self) -> W {
        self.to
    }

    /// Why the report is not whole, if that is for the budget.
    pub(super) fn failure(&self) -> Option<Failure> {
        self.is_spent.then(|| {
            let most = self.budget.of(Work::Output);
            let what = format!("the report has more than {most} bytes, and is not whole");
            let advice = Work::Output.advice(&self.budget);
            Failure::new(what).advise(format!("Ask for fewer rules or files. {advice}"))
        })
    }
}

impl<W: Write> Write for Bounded<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let Some(left) = self.left.checked_sub(bytes.len() as u64) else {
            self.is_spent = true;
            return Err(io::Error::other("the report is too long"));
        };
        self.left = left;
        self.to.write_all(bytes)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_fits_is_written_and_more_is_a_failure() {
        let budget = Budget::default().with("output=5".parse().expect("a share"));
        let mut bounded = Bounded::new(Vec::new(), &budget);
        assert!(bounded.write_all(b"12345").is_ok());
        assert_eq!(bounded.failure(), None);
        assert!(bounded.write_all(b"6").is_err());
        let failure = bounded.failure().expect("a failure");
        assert!(failure.what.contains("more than 5 bytes"), "{failure}");
        assert_eq!(bounded.into_inner(), b"12345");
    }
}
