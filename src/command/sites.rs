//! What the commands share that work on whole sites: which ones and on which day, reading them, and
//! how a run ends that made something of them.

use std::path::PathBuf;

use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, Found, Overlay, SiteRoot};
use crate::judgement::{Site, file_globs};

use super::exit::Exit;

/// Which sites a command is for.
#[derive(Debug, clap::Args)]
pub(super) struct Sites {
    /// Sites or folders of sites [default: the one you are in]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
}

impl Sites {
    /// The sites, in the order of their paths.
    pub fn find(&self) -> Result<Found, Failure> {
        host::find_sites(&self.paths, |_| false)
    }
}

/// The day by which a command judges.
#[derive(Debug, clap::Args)]
pub(super) struct Day {
    /// The day that counts as today, as in 2027-03-31
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,
}

impl Day {
    /// That day; today where none is named.
    pub fn date(&self) -> Date {
        self.on.unwrap_or_else(host::today)
    }
}

/// A site, read and resolved.
pub(super) fn read(root: &SiteRoot) -> Site {
    Site::read(host::read_site(&root.dir, &file_globs, &Overlay::default()))
}

/// How it ends: what is made of a part of the definitions, `a schedule` or `a drawing`, is no success.
pub(super) fn end(what: &str, is_whole: bool) -> Result<Exit, Failure> {
    if is_whole {
        return Ok(Exit::Clean);
    }
    let failure = Failure::new(format!(
        "the {what} is not whole: a part of the definitions was not read"
    ));
    Err(failure.advise(
        "\"cordwright check\" says which part and why. Put that right before you work, order or print by it.",
    ))
}
