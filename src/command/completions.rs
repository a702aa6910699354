//! `cordwright completions`: what a shell needs to complete the command line.

use clap_complete::Shell;

use super::exit::Exit;
use crate::failure::Failure;
use crate::host;
use crate::ink::Output;

/// Write the completions of a shell
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// bash, elvish, fish, powershell or zsh
    #[arg(value_name = "SHELL", value_enum, hide_possible_values = true)]
    shell: Shell,
}

const EXAMPLES: &str = "\
Examples:
  cordwright completions zsh > ~/.zfunc/_cordwright
  cordwright completions fish > ~/.config/fish/completions/cordwright.fish";

/// Writes them to standard output.
pub(super) fn run(words: &Args, mut parser: clap::Command) -> Result<Exit, Failure> {
    let mut text = Vec::new();
    clap_complete::generate(words.shell, &mut parser, "cordwright", &mut text);
    host::to_standard_output(&Output::of_our_words_for_programs(text))?;
    Ok(Exit::Clean)
}
