//! How far it is looked for where load could go: advice must not cost more than the judgement.

use std::cell::Cell;

use crate::analysis::Analysis;

/// Steps for each element of the site, and some for every site: an overload of a rack takes thousands.
const FOR_EACH: u64 = 1_000;
const FOR_ALL: u64 = 10_000_000;

/// The steps that a rule has left.
pub struct Effort(Cell<u64>);

impl Effort {
    /// All that a rule has for a site.
    pub fn of(analysis: &Analysis<'_>) -> Self {
        let elements = analysis.graph.len() as u64;
        Self(Cell::new(FOR_ALL + FOR_EACH * elements))
    }

    /// Takes so many steps.
    pub(super) fn spend(&self, steps: usize) {
        self.0.set(self.0.get().saturating_sub(steps as u64));
    }

    /// Whether none are left.
    pub(super) fn is_spent(&self) -> bool {
        self.0.get() == 0
    }
}
