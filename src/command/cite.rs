//! `cordwright cite`: a rule's page with its sources, or the table of rules.

mod page;
mod table;

use super::check::look;
use super::exit::Exit;
use super::names::of_today;
use crate::failure::Failure;
use crate::host::{self, ColourWish, Surroundings};
use crate::rules;

/// Show a rule's page with its sources, or list the rules
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Words {
    /// The rule, as named in brackets behind a finding [default: list all rules]
    #[arg(value_name = "RULE")]
    rule: Option<String>,
}

const EXAMPLES: &str = "\
Examples:
  cordwright cite              list the rules
  cordwright cite feed-shared  why inlets of a device must not share a feed";

/// Shows the page, or the table.
pub(super) fn run(words: &Words, colour: ColourWish) -> Result<Exit, Failure> {
    let rules = rules::cards();
    let look = look(&Surroundings::of_output(), colour);
    let text = match &words.rule {
        Some(name) => {
            let names = of_today(std::slice::from_ref(name))?;
            let pages = rules
                .iter()
                .filter(|rule| names.iter().any(|name| name == rule.name));
            pages.map(|rule| page::shown(rule.page, &look)).collect()
        }
        None => table::shown(&rules, &look),
    };
    host::to_standard_output(text.as_bytes())?;
    Ok(Exit::Clean)
}
