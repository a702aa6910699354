//! Reading the words of a command line.

use std::ffi::OsString;

use clap::error::ErrorKind;
use clap::{ColorChoice, Command, CommandFactory, FromArgMatches};

use crate::failure::Failure;
use crate::host::{ColourWish, Surroundings};
use crate::ink::{Plain, Written};

/// Why there are no arguments to go by.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Unread {
    /// Help or the version was asked for; this is it.
    Answer(Written<Plain>),
    /// There were no words at all; this says which there are.
    Help(Written<Plain>),
    /// The words are wrong.
    Wrong(Failure),
}

/// Help that leaves a line of a screen of 24 for the prompt.
const LAYOUT_OF_ALL: &str = "{about}\n{usage-heading} {usage}\n{all-args}{after-help}";
/// The same for a command, which has room for a blank line.
const LAYOUT: &str = "{about}\n{usage-heading} {usage}\n\n{all-args}{after-help}";

/// Everything that the command line takes.
pub(super) fn parser<A: CommandFactory>() -> Command {
    A::command()
        .help_template(LAYOUT_OF_ALL)
        .mut_subcommands(|command| command.help_template(LAYOUT))
}

/// The arguments that `words` mean.
pub(super) fn read<A: CommandFactory + FromArgMatches>(words: Vec<OsString>) -> Result<A, Unread> {
    let output = Surroundings::of_output();
    let mut command = parser::<A>()
        .term_width(output.width())
        .color(ColorChoice::Never);
    let colour = output.colour(ColourWish::Auto);
    if colour {
        command = command.color(ColorChoice::Always);
    }
    let matches = command.try_get_matches_from(words);
    matches
        .and_then(|matches| A::from_arg_matches(&matches))
        .map_err(|error| unread(&error, colour))
}

fn unread(error: &clap::Error, colour: bool) -> Unread {
    let text = error.render();
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            Unread::Answer(Written::help(&text, colour))
        }
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            Unread::Help(Written::help(&text, false))
        }
        _ => Unread::Wrong(failure(&text.to_string())),
    }
}

/// The parser's complaint, a paragraph each for what is wrong, what may have been meant, and how
/// the command is used, as a failure of ours.
fn failure(complaint: &str) -> Failure {
    let mut paragraphs = complaint.trim().split("\n\n").map(str::trim);
    let what = paragraphs.next().unwrap_or_default();
    let what = what.strip_prefix("error: ").unwrap_or(what);
    let advice: Vec<&str> = paragraphs
        .map(|text| text.strip_prefix("tip: ").unwrap_or(text))
        .collect();
    Failure::new(what).advise(advice.join("\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_complaint_is_split_into_what_is_wrong_and_what_to_do() {
        let complaint = "error: unexpected argument '--formt' found\n\n  tip: a similar argument \
                         exists: '--format'\n\nUsage: cordwright check [PATH]...\n";
        let expected = Failure::new("unexpected argument '--formt' found")
            .advise("a similar argument exists: '--format'\nUsage: cordwright check [PATH]...");
        assert_eq!(failure(complaint), expected);
        assert_eq!(failure("").what, "");
    }
}
