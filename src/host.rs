//! The world outside: files, environment, clock, terminal, git.
//!
//! No other room touches any of them; `.clippy.toml` holds the rest of the crate to that. What
//! comes in is turned into plain data here, so that the core depends on nothing but its input.
#![expect(
    clippy::disallowed_methods,
    reason = "this is the one room that may touch the outside world"
)]

mod catalogues;
mod definitions;
mod find;
mod git;
mod hold;
mod identity;
mod ignored;
mod links;
mod openable;
mod overlay;
mod paths;
mod processes;
mod read;
mod resources;
mod sight;
mod site_paths;
mod streams;
mod terminal;
mod watch;
mod write;

#[cfg(test)]
mod folder;

pub use catalogues::sites_that_read;
pub use definitions::lost_by_writing;
pub use find::{Found, Given, SiteRoot, find_sites, place_in_site, site_of};
pub use git::{Moves, SiteAt, earlier_places, gone_sites, read_site_at};
pub use ignored::Ignored;
pub use openable::OpenableFiles;
pub use overlay::Overlay;
pub use paths::{below, settled, shown, way};
pub use processes::is_running;
pub use read::{FILE_LIMIT, read_site, read_site_to_write};
pub use resources::{SavedTree, is_folder, read_saved_tree};
pub use sight::{Fate, Former, Gone, Stray, fates, strays};
pub use site_paths::Choice;
pub use streams::{read_file, read_standard_input, talk_streams, tell, to_standard_output};
pub use terminal::{ColourWish, Terminal};
pub use watch::Watch;
pub use write::{AllOrNone, Original, Originals, write_output};

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
