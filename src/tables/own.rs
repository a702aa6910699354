//! Names of what a site describes itself because the tables lack it.

/// How the name of everything that a site describes itself begins, so that none hides a row of the tables, now
/// or later.
pub const PREFIX: &str = "own-";

/// Whether a text names something that a site describes itself.
pub fn is_own(text: &str) -> bool {
    text.starts_with(PREFIX)
}
