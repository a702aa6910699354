//! What must hold of any bytes at all: every target takes some, and breaks down where it does not hold.
//!
//! The ordinary tests run them over a corpus and a fixed number of damaged copies of it
//! (`tests/it/fuzz.rs`); the crate in `guided` runs the same functions for hours, led by the branches
//! that the bytes reach.

mod change;
pub mod editing;
mod judging;
pub mod laid_out;
mod plans;
mod reading;
mod remedies;
mod reports;
mod schedules;
mod take_in;
pub mod talk;

/// A target by its name.
pub type Target = (&'static str, fn(&[u8]));

/// All targets.
pub const TARGETS: [Target; 10] = [
    ("reading", reading::run),
    ("judging", judging::run),
    ("change", change::run),
    ("reports", reports::run),
    ("schedules", schedules::run),
    ("remedies", remedies::run),
    ("plans", plans::run),
    ("take-in", take_in::run),
    ("editing", editing::run),
    ("talk", talk::run),
];

/// Runs the target of this name.
pub fn run(name: &str, bytes: &[u8]) {
    let target = TARGETS.iter().find(|(other, _)| *other == name);
    target.expect("a target of this name").1(bytes);
}
