//! Rules of *routing*: lengths and ways.

mod measured;
mod places;
mod stock;

pub mod angle_clash;
pub mod cord_crosses_racks;
pub mod cord_over_limit;
pub mod cord_too_long;
pub mod cord_too_short;
pub mod space_shared;
