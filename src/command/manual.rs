//! `cordwright manual`: the manual page, made of the same arguments as the help.

use std::io;

use clap::Command;
use clap_mangen::Man;

use super::exit::Exit;
use crate::failure::Failure;
use crate::host;
use crate::ink::Output;

/// Write the manual page
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {}

const EXAMPLES: &str = "\
Examples:
  cordwright manual | man -l -
  cordwright manual > ~/.local/share/man/man1/cordwright.1";

/// Writes it to standard output.
pub(super) fn run(_words: &Args, parser: Command) -> Result<Exit, Failure> {
    let page =
        page(parser).map_err(|error| Failure::new(format!("cannot make the page: {error}")))?;
    let page = Output::of_our_words_for_programs(page.into_bytes());
    host::to_standard_output(&page)?;
    Ok(Exit::Clean)
}

/// One page: the program, then a section for each command.
fn page(mut parser: Command) -> io::Result<String> {
    parser.build();
    let commands: Vec<Command> = parser.get_subcommands().cloned().collect();
    let man = Man::new(parser);
    let mut page = Vec::new();
    man.render_title(&mut page)?;
    man.render_name_section(&mut page)?;
    man.render_synopsis_section(&mut page)?;
    man.render_options_section(&mut page)?;
    let mut page = String::from_utf8_lossy(&page).into_owned();
    page.push_str(&notes(&man)?);
    for command in commands {
        page.push_str(&section(command)?);
    }
    Ok(page)
}

fn section(command: Command) -> io::Result<String> {
    let title = command.get_name().to_uppercase();
    // Here is room for what a screen of help has none for.
    let command = command.mut_args(|arg| arg.hide(false));
    let man = Man::new(command);
    let mut parts = Vec::new();
    man.render_description_section(&mut parts)?;
    man.render_synopsis_section(&mut parts)?;
    man.render_options_section(&mut parts)?;
    let parts = String::from_utf8_lossy(&parts).into_owned() + &notes(&man)?;
    let parts = parts.replace(".SH ", ".SS ");
    Ok(format!(".SH \"COMMAND {title}\"\n{parts}"))
}

/// What stands below the help, its lines as they are: most of them are commands to be typed.
fn notes(man: &Man) -> io::Result<String> {
    let mut notes = Vec::new();
    man.render_extra_section(&mut notes)?;
    let notes = String::from_utf8_lossy(&notes).replace(".SH EXTRA\n", ".SH NOTES\n.nf\n");
    Ok(format!("{notes}.fi\n"))
}
