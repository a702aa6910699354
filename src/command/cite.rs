//! `cordwright cite`: the page of a rule, a country or an approval mark with its sources, or the table of rules.

mod assumed;
mod country;
mod levels;
mod mark;
mod page;
mod table;

use std::path::PathBuf;

use super::check::look;
use super::exit::Exit;
use super::names::of_today;
use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, ColourWish, Terminal};
use crate::ink::{Look, Plain, Written};
use crate::rules::{self, RULES, Rule};
use crate::tables::{countries, marks};

/// Show a rule, a country or an approval mark, or list the rules
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// The rule, as named in brackets behind a finding, the country or the mark [default: all rules]
    #[arg(value_name = "RULE|COUNTRY|MARK")]
    name: Option<String>,
    /// Show the examples of the rule, too
    #[arg(long, requires = "name")]
    examples: bool,
    /// Tell which level each rule has in this file or site, and why
    #[arg(long, value_name = "PATH")]
    levels: Option<PathBuf>,
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
  cordwright cite --levels hall/cords.yaml
                               which level each rule has there, who set it,
                               and what is departed from there";

/// Shows the page, or the table.
pub(super) fn run(args: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    let look = look(&Terminal::of_output(), colour);
    let text = match (&args.levels, &args.name) {
        (Some(path), name) => {
            let today = args.on.unwrap_or_else(host::today);
            levels::shown(path, &wanted(name.as_deref())?, today, &look)?
        }
        (None, Some(name)) => page_of(name, args.examples, &look)?,
        (None, None) if args.assumed => assumed::shown(&look),
        (None, None) => table::shown(&rules::cards(), &look),
    };
    host::to_standard_output(&text.into())?;
    Ok(Exit::Clean)
}

/// The page of a rule; where no rule has that name of a country, of a mark, or of both that go by it.
fn page_of(name: &str, with_examples: bool, look: &Look) -> Result<Written<Plain>, Failure> {
    let mut pages = Written::new();
    if rules::find(name).is_none() {
        let country = countries::meant(name).map(country::page);
        let mark = marks::find(name).map(mark::page);
        for (number, text) in country.into_iter().chain(mark).enumerate() {
            pages.ours(if number > 0 { "\n" } else { "" });
            pages.push(&page::shown(&text, with_examples, look));
        }
        if !pages.is_empty() {
            return Ok(pages);
        }
    }
    for rule in wanted(Some(name)).map_err(neither)? {
        pages.push(&page::shown(rule.page, with_examples, look));
    }
    Ok(pages)
}

/// A failure to find a rule, where a country or a mark would have done.
fn neither(failure: Failure) -> Failure {
    let advice = failure.advice.clone().unwrap_or_default();
    failure.advise(format!(
        "{advice} No country and no mark of the tables goes by that name, either."
    ))
}

/// The rule that is asked about, or all of them.
fn wanted(name: Option<&str>) -> Result<Vec<&'static Rule>, Failure> {
    let names = of_today(&Vec::from_iter(name.map(str::to_owned)))?;
    let is_wanted = |rule: &Rule| names.is_empty() || names.iter().any(|name| name == rule.name);
    let rules = RULES.iter().copied();
    Ok(rules.filter(|rule| is_wanted(rule)).collect())
}
