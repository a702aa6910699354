//! `cordwright cite`: the page of a rule, or of a country, mark, coupler, cordage, supply system or edition, with its sources;
//! or the table of rules.

mod assumed;
mod cordage;
mod country;
mod coupler;
mod edition;
mod levels;
mod mark;
mod own;
mod page;
mod system;
mod table;

use std::path::{Path, PathBuf};

use super::check::{look, must_hold};
use super::exit::Exit;
use super::names::of_today;
use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, ColourWish, Ignored, Overlay, SiteRoot, Terminal};
use crate::ink::{Look, Plain, Written};
use crate::judgement::{Site, file_globs};
use crate::rules::{self, RULES, Rule};
use crate::tables::own::is_own;
use crate::tables::{countries, couplers, marks};

/// Show what is known of a rule, a country or a part
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// Rule, country, mark, part, system or edition [default: all rules]
    #[arg(value_name = "WORD")]
    name: Option<String>,
    /// Show the examples of the rule, too
    #[arg(long, requires = "name")]
    examples: bool,
    /// Tell which level each rule has there, and why
    #[arg(long, value_name = "PATH")]
    levels: Option<PathBuf>,
    /// The site to look into for a part of its own [default: .]
    #[arg(
        long = "in",
        value_name = "PATH",
        requires = "name",
        conflicts_with = "levels"
    )]
    within: Option<PathBuf>,
    /// List what is taken for granted where definitions are silent
    #[arg(long, conflicts_with_all = ["name", "levels"])]
    assumed: bool,
    /// The day that counts as today, as in 2027-03-31
    #[arg(long, value_name = "DATE", requires = "levels")]
    on: Option<Date>,
}

const EXAMPLES: &str = "\
Examples:
  cordwright cite              list the rules
  cordwright cite feed-shared  why inlets of a device must not share a feed
  cordwright cite GB           what is known of a country; cite VDE: of a mark
  cordwright cite 332P6W       rating, other names and mates of a coupler
  cordwright cite --levels hall/cords.yaml
                               the level of each rule there, and who set it";

/// Shows the page, or the table.
pub(super) fn run(args: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    let look = look(&Terminal::of_output(), colour);
    let text = match (&args.levels, &args.name) {
        (Some(path), name) => {
            let today = args.on.unwrap_or_else(host::today);
            levels::shown(path, &wanted(name.as_deref())?, today, &look)?
        }
        (None, Some(name)) if is_own(name) => {
            let within = args.within.as_deref().unwrap_or(Path::new("."));
            written(&own::pages(name, within)?, &look)
        }
        (None, Some(name)) => page_of(name, args.examples, &look)?,
        (None, None) if args.assumed => assumed::shown(&look),
        (None, None) => table::shown(&rules::cards(), &look),
    };
    host::to_standard_output(&text.into())?;
    Ok(Exit::Clean)
}

/// The page of a rule, or of all else that goes by the name: `SE` is a country and a cordage.
fn page_of(name: &str, with_examples: bool, look: &Look) -> Result<Written<Plain>, Failure> {
    let others = match rules::find(name) {
        Some(_) => Vec::new(),
        None => known(name),
    };
    let mut pages = Written::new();
    if others.is_empty() {
        for rule in wanted(Some(name)).map_err(|failure| neither(failure, name))? {
            pages.push(&page::shown(rule.page, with_examples, look));
        }
    }
    pages.push(&written(&others, look));
    Ok(pages)
}

/// Reads the sites at, above or below a path, one after the other.
fn each_site(path: &Path, mut with: impl FnMut(&SiteRoot, &Site)) -> Result<(), Failure> {
    let ignored = Ignored::default();
    let found = host::find_sites(&[path.to_owned()], |_| false, &ignored)?;
    for root in &found.sites {
        let input = host::read_site(&root.dir, &file_globs, &Overlay::default(), &ignored);
        must_hold(root, &input)?;
        with(root, &Site::read(input));
    }
    Ok(())
}

/// Pages without examples, one below the other.
fn written(all: &[String], look: &Look) -> Written<Plain> {
    let mut pages = Written::new();
    for (at, page) in all.iter().enumerate() {
        if at > 0 {
            pages.ours("\n");
        }
        pages.push(&page::shown(page, false, look));
    }
    pages
}

/// The pages of whatever the tables have under a name.
fn known(name: &str) -> Vec<String> {
    let country = countries::meant(name).map(country::page);
    let mark = marks::find(name).map(mark::page);
    let parts = [
        coupler::page(name),
        cordage::page(name),
        system::page(name),
        edition::page(name),
    ];
    country
        .into_iter()
        .chain(mark)
        .chain(parts.into_iter().flatten())
        .collect()
}

/// A failure to find a rule, where a country or a part would have done.
fn neither(failure: Failure, name: &str) -> Failure {
    let advice = failure.advice.clone().unwrap_or_default();
    let coupler = couplers::advice(name, couplers::nearest(name));
    let coupler = coupler.or_else(|| crate::tables::cordage::advice(name));
    let coupler = coupler.map_or_else(String::new, |advice| format!(" {advice}"));
    failure.advise(format!(
        "{advice} No country of the tables goes by that name, either. Nor does a mark, coupler, cordage or supply system.{coupler}"
    ))
}

/// The rule that is asked about, or all of them.
fn wanted(name: Option<&str>) -> Result<Vec<&'static Rule>, Failure> {
    let names = of_today(&Vec::from_iter(name.map(str::to_owned)))?;
    let is_wanted = |rule: &Rule| names.is_empty() || names.iter().any(|name| name == rule.name);
    let rules = RULES.iter().copied();
    Ok(rules.filter(|rule| is_wanted(rule)).collect())
}
