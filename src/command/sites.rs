//! What the commands share that work on whole sites: which ones and on which day, reading them, and
//! how a run ends that made something of them.

use std::path::PathBuf;

use crate::budget::{self, Budget, Share};
use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, Found, Ignored, Overlay, SiteRoot, Watch};
use crate::ink::{Output, Written};
use crate::judgement::{Site, file_globs};
use crate::report::{self, Format, Look, NotWritten, Report};

use super::exit::Exit;

/// Which sites a command is for.
#[derive(Debug, clap::Args)]
pub(super) struct Sites {
    /// Sites or folders of sites [default: the one you are in]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
    #[command(flatten)]
    reach: Reach,
}

impl Sites {
    /// The sites, in the order of their paths, without what is ignored.
    pub fn find(&self, ignored: &Ignored) -> Result<Found, Failure> {
        host::find_sites(&self.paths, |_| false, ignored)
    }

    /// What is ignored of them.
    pub fn ignored(&self) -> Ignored {
        self.reach.ignored()
    }
}

/// How much of the folders a command reads.
#[derive(Debug, clap::Args)]
pub(super) struct Reach {
    /// Read what git ignores, and other work trees, too
    // Messages about what is left out name it; the manual has it.
    #[arg(long, hide = true)]
    all_files: bool,
}

impl Reach {
    /// What is ignored.
    pub fn ignored(&self) -> Ignored {
        match self.all_files {
            true => Ignored::nothing(),
            false => Ignored::default(),
        }
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
    /// Allow so much work, as in row=32 (may be repeated)
    // Messages about work that is too much name it; the manual has it.
    #[arg(long, value_name = "NAME=N", hide = true)]
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
        let mut args = Written::new();
        args.ours("cordwright: not done within ")
            .whole(&seconds.to_string())
            .ours(" s, and ended without a report. ")
            .ours("Allow more by --budget seconds, or name fewer sites.\n");
        Watch::start(seconds, args)
    }
}

/// The state of a site that is shown, where some cords are still to be fitted or pulled.
#[derive(Debug, clap::Args)]
pub(super) struct Shown {
    /// Show the cords as they hang now [default: as planned]
    #[arg(long)]
    as_fitted: bool,
}

impl Shown {
    /// The site in that state.
    pub fn of(&self, site: Site) -> Site {
        match self.as_fitted {
            true => site.as_fitted(),
            false => site,
        }
    }
}

/// A site, read without what is ignored, and resolved.
pub(super) fn read(root: &SiteRoot, ignored: &Ignored, budget: &Budget) -> Site {
    let overlay = Overlay::default();
    let input = host::read_site(&root.dir, &file_globs, &overlay, ignored);
    Site::read_within(input, budget)
}

/// A report, if the budget allows for it.
pub(super) fn written(
    report: &Report<'_>,
    format: Format,
    look: &Look,
    budget: &Budget,
) -> Result<Output, Failure> {
    let most = budget.of(budget::Work::Output);
    report::written(report, format, look, most).map_err(|why| match why {
        NotWritten::Undrawn(error) => Failure::new(format!("cannot write the report: {error}")),
        NotWritten::TooLong => {
            let what = format!("the report has more than {most} bytes, and is not written");
            let advice = budget::Work::Output.advice(budget);
            Failure::new(what).advise(format!("Ask for fewer rules or files. {advice}"))
        }
    })
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
