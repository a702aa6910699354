//! `cordwright remedy`: what to correct, and what to fit instead.

mod told;

use super::check::look;
use super::exit::Exit;
use super::sites::{Day, Sites, Work};
use crate::failure::Failure;
use crate::host::{self, ColourWish, Overlay, SiteRoot, Surroundings};
use crate::judgement::{Settings, file_globs};
use crate::remedy::{Remedies, remedies};

use told::told;

/// Tell what to correct, and which cords to fit instead
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Words {
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
cords with one choice only go into the files, and nothing else in them changes.

Example:
  cordwright remedy sites/quay --write

Exit code: 0 nothing is left to put right, 1 something is, 2 not all was tried.";

/// Tells, and where asked to writes, the remedies of every site.
pub(super) fn run(words: &Words) -> Result<Exit, Failure> {
    let watch = words.work.watch();
    let found = words.sites.find()?;
    let settings = Settings {
        budget: words.work.budget(),
        ..Settings::on(words.day.date())
    };
    let look = look(&Surroundings::of_output(), ColourWish::Never);
    let sites = found.sites.iter().map(|site| {
        let input = host::read_site(&site.dir, &file_globs, &Overlay::default());
        (site, remedies(input, &settings))
    });
    let sites: Vec<(&SiteRoot, Remedies)> = sites.collect();
    watch.stop();
    let mut exit = Exit::Clean;
    for (site, remedies) in sites {
        if words.write {
            write(site, &remedies)?;
        }
        let text = told(&site.shown, &remedies, words.write, &look);
        host::to_standard_output(text.as_bytes())?;
        exit = exit.max(words.exit(&remedies));
    }
    Ok(exit)
}

/// Writes the files that the sure edits change, each whole or not at all.
fn write(site: &SiteRoot, remedies: &Remedies) -> Result<(), Failure> {
    remedies
        .changed
        .iter()
        .try_for_each(|(path, text)| host::write_atomically(&site.dir.join(path), text.as_bytes()))
}

impl Words {
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
