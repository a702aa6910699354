//! `cordwright remedy`: what to correct, and what to fit instead.

mod told;

use super::check::look;
use super::exit::Exit;
use super::rewrite::rewrite;
use super::sites::{Day, Sites, Work};
use crate::failure::Failure;
use crate::host::{self, ColourWish, Terminal};
use crate::judgement::{Settings, file_globs};
use crate::remedy::{Remedies, remedies};

use told::told;

/// Tell what to correct, and which cords to fit instead
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    #[command(flatten)]
    sites: Sites,
    #[command(flatten)]
    work: Work,
    /// Write into the definitions what is sure
    #[arg(long)]
    write: bool,
    #[command(flatten)]
    day: Day,
}

const EXAMPLES: &str = "\
Slips that can be meant in one way only are corrected. For every cord with
findings the other types of the site are tried, then lengths of its stock; what
is offered leaves nothing new to be told anywhere. With --write, corrections and
cords with one choice only go into the files, and nothing else in them changes;
of a site all files are written, or none. Links are not followed.

Example:
  cordwright remedy sites/quay --write

Exit code: 0 nothing is left to put right, 1 something is, 2 not all was tried.";

/// Tells, and where asked to writes, the remedies of every site.
pub(super) fn run(args: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    let watch = args.work.watch();
    let ignored = args.sites.ignored();
    let found = args.sites.find(&ignored)?;
    let settings = Settings {
        budget: args.work.budget(),
        ..Settings::on(args.day.date())
    };
    let look = look(&Terminal::of_output(), ColourWish::Never);
    let sites = found.sites.iter().map(|site| {
        let (input, originals) = host::read_site_to_write(&site.dir, &file_globs, &ignored);
        let remedies = remedies(input, &originals.fixed(), &settings);
        (site, originals, remedies)
    });
    let sites: Vec<_> = sites.collect();
    watch.stop();
    let mut exit = Exit::Clean;
    for (site, originals, remedies) in sites {
        let written = args
            .write
            .then(|| rewrite(&originals, &remedies.sources, &remedies.changed));
        let is_written = matches!(written, Some(Ok(())));
        let text = told(&site.shown, &remedies, is_written, &look);
        host::to_standard_output(&text.into())?;
        exit = exit.max(args.exit(&remedies));
        // The other sites are told, and written, all the same.
        if let Some(Err(failure)) = written {
            exit = exit.max(super::fail(&failure, colour));
        }
    }
    Ok(exit)
}

impl Args {
    fn exit(&self, remedies: &Remedies) -> Exit {
        let is_unwritten = !self.write && !remedies.changed.is_empty();
        match remedies.untried {
            Some(_) => Exit::Failed,
            None if remedies.cut_short_at().is_some() => Exit::Failed,
            None if is_unwritten || remedies.worst_left.is_some() => Exit::Findings,
            None => Exit::Clean,
        }
    }
}
