//! `cordwright cite`: a rule's page with its sources, or the table of rules.

mod assumed;
mod levels;
mod page;
mod table;

use std::path::PathBuf;

use super::check::look;
use super::exit::Exit;
use super::names::of_today;
use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, ColourWish, Terminal};
use crate::ink::Written;
use crate::rules::{self, RULES, Rule};

/// Show a rule's page with its sources, or list the rules
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// The rule, as named in brackets behind a finding [default: list all rules]
    #[arg(value_name = "RULE")]
    rule: Option<String>,
    /// Show its examples, too
    #[arg(long, requires = "rule")]
    examples: bool,
    /// Tell which level each rule has in this file or site, and why
    #[arg(long, value_name = "PATH")]
    levels: Option<PathBuf>,
    /// List what is taken for granted where definitions are silent
    #[arg(long, conflicts_with_all = ["rule", "levels"])]
    assumed: bool,
    /// The day that counts as today, as in 2027-03-31
    #[arg(long, value_name = "DATE", requires = "levels")]
    on: Option<Date>,
}

const EXAMPLES: &str = "\
Examples:
  cordwright cite              list the rules
  cordwright cite feed-shared  why inlets of a device must not share a feed
  cordwright cite --levels hall/cords.yaml
                               which level each rule has there, who set it,
                               and what is departed from there";

/// Shows the page, or the table.
pub(super) fn run(args: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    let look = look(&Terminal::of_output(), colour);
    let rules = wanted(args)?;
    let text = match (&args.levels, &args.rule) {
        (Some(path), _) => {
            let today = args.on.unwrap_or_else(host::today);
            levels::shown(path, &rules, today, &look)?
        }
        (None, Some(_)) => {
            let mut pages = Written::new();
            for rule in rules {
                pages.push(&page::shown(rule.page, args.examples, &look));
            }
            pages
        }
        (None, None) if args.assumed => assumed::shown(&look),
        (None, None) => table::shown(&rules::cards(), &look),
    };
    host::to_standard_output(&text.into())?;
    Ok(Exit::Clean)
}

/// The rule that is asked about, or all of them.
fn wanted(args: &Args) -> Result<Vec<&'static Rule>, Failure> {
    let names = of_today(args.rule.as_slice())?;
    let is_wanted = |rule: &Rule| names.is_empty() || names.iter().any(|name| name == rule.name);
    let rules = RULES.iter().copied();
    Ok(rules.filter(|rule| is_wanted(rule)).collect())
}
