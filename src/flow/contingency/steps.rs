//! How much work the losses that a circuit feels may take.

use crate::flow::branch::Branch;

use super::Given;

/// The steps that are left for a circuit.
pub(super) struct Steps(u64);

/// Steps that every circuit has, however little hangs on it.
const SOME: u64 = 2_000;
/// Steps that looking at an inlet takes, and at what stands above it.
pub(super) const STEPS_OF_INLET: usize = 8;

impl Steps {
    pub fn of(given: Given<'_>, branch: &Branch<'_>) -> Self {
        let elements = branch.elements.len() as u64;
        Self(given.solves.saturating_mul(elements).saturating_add(SOME))
    }

    pub fn take(&mut self, steps: usize) {
        self.0 = self.0.saturating_sub(steps as u64);
    }

    pub fn are_spent(&self) -> bool {
        self.0 == 0
    }
}
