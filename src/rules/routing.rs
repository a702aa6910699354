//! Rules of *routing*: lengths and ways.

mod measured;
mod places;
mod stock;

pub(crate) mod angle_clash;
pub(crate) mod cord_crosses_racks;
pub(crate) mod cord_over_limit;
pub(crate) mod cord_too_long;
pub(crate) mod cord_too_short;
pub(crate) mod space_shared;
