//! What the commands share that work on whole sites: which ones and on which day, reading them, and
//! delivering what is made of them.

use std::path::PathBuf;

use crate::budget::{self, Budget, Share};
use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, Found, Overlay, SiteRoot, Watch};
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

/// How much work a command may do.
#[derive(Debug, clap::Args)]
pub(super) struct Work {
    /// Allow so much work, as in row=32 (\"help\" tells the names)
    #[arg(long, value_name = "NAME=N")]
    budget: Vec<Share>,
}

impl Work {
    /// That much. A run that is given seconds ends itself when they have passed.
    pub fn budget(&self) -> Budget {
        let shares = self.budget.iter();
        shares.fold(Budget::default(), |budget, share| budget.with(*share))
    }

    /// Starts the watch that ends the run where it takes more seconds than it may.
    pub fn watch(&self) -> Watch {
        let seconds = self.budget().of(budget::Work::Seconds);
        let words = format!(
            "cordwright: not done within {seconds} s, and ended without a report. Allow more by --budget seconds, or name fewer sites.\n"
        );
        Watch::start(seconds, words)
    }
}

/// A site, read and resolved.
pub(super) fn read(root: &SiteRoot, budget: &Budget) -> Site {
    let input = host::read_site(&root.dir, &file_globs, &Overlay::default());
    Site::read_within(input, budget)
}

/// Puts a text into a file, or onto standard output where none is named.
pub(super) fn deliver(text: &str, file: Option<&PathBuf>) -> Result<(), Failure> {
    match file {
        Some(file) => host::write_atomically(file, text.as_bytes()),
        None => host::to_standard_output(text.as_bytes()).map(|_| ()),
    }
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
