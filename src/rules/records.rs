//! Rules of *records*: is the definition itself sound.

pub(crate) mod bad_quantity;
pub(crate) mod catalogue_unread;
pub(crate) mod departure_idle;
pub(crate) mod departure_lapsed;
pub(crate) mod double_booked;
pub(crate) mod duplicate_name;
pub(crate) mod idle_definition;
pub(crate) mod load_basis;
pub(crate) mod missing_key;
pub(crate) mod pattern_idle;
pub(crate) mod policy_relaxed;
pub(crate) mod power_loop;
pub(crate) mod sight_lost;
pub(crate) mod snag_idle;
pub(crate) mod unfed_inlet;
pub(crate) mod unknown_key;
pub(crate) mod unknown_name;
pub(crate) mod unreadable_file;

mod named;
mod written;
