//! The world outside: files, environment, clock, terminal, git.
//!
//! No other room touches any of them; `.clippy.toml` holds the rest of the crate to that. What
//! comes in is turned into plain data here, so that the core depends on nothing but its input.
#![expect(
    clippy::disallowed_methods,
    reason = "this is the one room that may touch the outside world"
)]

mod find;
mod git;
mod links;
mod overlay;
mod paths;
mod read;
mod shelf;
mod sieve;
mod streams;
mod terminal;
mod watch;
mod write;

#[cfg(test)]
mod folder;

pub use find::{Found, Given, SiteRoot, find_sites, place_in_site, site_of};
pub use git::read_site_at;
pub use overlay::Overlay;
pub use paths::shown;
pub use read::{FILE_LIMIT, read_site};
pub use shelf::Shelf;
pub use streams::{
    Delivered, editor_connection, read_file, read_standard_input, tell, through_standard_output,
    to_standard_output,
};
pub use terminal::{ColourWish, Surroundings};
pub use watch::Watch;
pub use write::{is_there, write_atomically, write_new};

use std::time::{Instant, SystemTime, UNIX_EPOCH};

use crate::date::Date;

/// Today's date, in Coordinated Universal Time so that it is the same everywhere at once.
pub fn today() -> Date {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let days = since.map_or(0, |elapsed| elapsed.as_secs() / 86_400);
    Date::from_days(i64::try_from(days).unwrap_or(i64::MAX))
}

/// This moment, to measure a while from.
pub fn moment() -> Instant {
    Instant::now()
}
