//! Reading the words of a command line.

mod wrong;

use std::ffi::OsString;

use clap::error::ErrorKind;
use clap::{ColorChoice, Command, CommandFactory, FromArgMatches};

use crate::failure::Failure;
use crate::host::{ColourWish, Terminal};
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
    let output = Terminal::of_output();
    let colour = output.colour(ColourWish::Auto);
    let choice = if colour {
        ColorChoice::Always
    } else {
        ColorChoice::Never
    };
    let mut command = parser::<A>().term_width(output.width()).color(choice);
    let matches = command.try_get_matches_from_mut(&words);
    matches
        .and_then(|matches| A::from_arg_matches(&matches))
        .map_err(|error| unread(&error, colour, &command, &words))
}

fn unread(error: &clap::Error, colour: bool, command: &Command, words: &[OsString]) -> Unread {
    let text = error.render();
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            Unread::Answer(Written::help(&text, colour))
        }
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            Unread::Help(Written::help(&text, false))
        }
        _ => Unread::Wrong(wrong::failure(error, command, words)),
    }
}
