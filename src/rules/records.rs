//! Rules of *records*: is the definition itself sound.

pub mod bad_quantity;
pub mod departure_idle;
pub mod departure_lapsed;
pub mod double_booked;
pub mod duplicate_name;
pub mod idle_definition;
pub mod load_basis;
pub mod missing_key;
pub mod pattern_idle;
pub mod policy_relaxed;
pub mod power_loop;
pub mod sight_lost;
pub mod snag_idle;
pub mod unfed_inlet;
pub mod unknown_key;
pub mod unknown_name;
pub mod unreadable_file;

mod named;
mod written;
