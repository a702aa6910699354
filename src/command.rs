//! The commands: from the words of a command line to an exit code.
//!
//! Each command has a file of its own, which turns words into things first and then does its work.
//! This room joins all others; none of them knows it.

mod check;
mod cite;
mod complaint;
mod completions;
mod drawing;
mod exit;
mod language_server;
mod manual;
mod names;
mod output;
mod remedy;
mod rewrite;
mod schedule;
mod schema;
mod sites;
mod snags;
mod specify;
mod start;
mod survey;
mod take_in;
mod trace;
mod words;

use std::ffi::OsString;

use clap::Parser;

pub use exit::Exit;
pub use language_server::talk;

use crate::failure::Failure;
use crate::host::{self, ColourWish};
use crate::ink::{Plain, Written};

/// Checks the power cords, couplers and circuits of racks for electrical safety.
#[derive(Debug, Parser)]
#[command(name = "cordwright", version, max_term_width = 100)]
#[command(disable_help_subcommand = true, arg_required_else_help = true)]
#[command(after_help = EXAMPLES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,

    /// Colour: auto, always or never [default: auto]
    #[arg(long, global = true, value_name = "WHEN", value_enum, default_value_t)]
    #[arg(display_order = 900)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    color: ColourWish,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    Start(start::Args),
    TakeIn(take_in::Args),
    Check(check::Args),
    Cite(cite::Args),
    Specify(specify::Args),
    Remedy(remedy::Args),
    Trace(trace::Args),
    Schedule(schedule::Args),
    Survey(survey::Args),
    Drawing(drawing::Args),
    Snags(snags::Args),
    Schema(schema::Args),
    LanguageServer(language_server::Args),
    // Those who set it up or pack it look into the README, which names both.
    #[command(hide = true)]
    Completions(completions::Args),
    #[command(hide = true)]
    Manual(manual::Args),
}

const EXAMPLES: &str = "\
Example:
  cordwright check --compare main   tell only what is new since the branch main";

/// Does what the words of a command line say, the program's own name first.
pub fn run(args: Vec<OsString>) -> Exit {
    match words::read::<Arguments>(args) {
        Ok(arguments) => {
            let colour = arguments.color;
            let done = match arguments.command {
                Command::Check(args) => check::run(args, colour),
                Command::Start(args) => start::run(&args),
                Command::TakeIn(args) => take_in::run(&args),
                Command::Cite(args) => cite::run(&args, colour),
                Command::Specify(args) => specify::run(&args, colour),
                Command::Remedy(args) => remedy::run(&args, colour),
                Command::Trace(args) => trace::run(&args, colour),
                Command::Schedule(args) => schedule::run(&args, colour),
                Command::Survey(args) => survey::run(&args, colour),
                Command::Drawing(args) => drawing::run(&args),
                Command::Snags(args) => snags::run(&args),
                Command::Schema(args) => schema::run(&args),
                Command::Completions(args) => completions::run(&args, words::parser::<Arguments>()),
                Command::Manual(args) => manual::run(&args, words::parser::<Arguments>()),
                Command::LanguageServer(args) => language_server::run(&args),
            };
            done.unwrap_or_else(|failure| fail(&failure, colour))
        }
        Err(words::Unread::Answer(text)) => answer(text),
        Err(words::Unread::Help(text)) => {
            host::tell(&text);
            Exit::Failed
        }
        Err(words::Unread::Wrong(failure)) => fail(&failure, ColourWish::Auto),
    }
}

/// Help that was asked for is what the command has to say.
fn answer(text: Written<Plain>) -> Exit {
    match host::to_standard_output(&text.into()) {
        Ok(()) => Exit::Clean,
        Err(failure) => fail(&failure, ColourWish::Auto),
    }
}

fn fail(failure: &Failure, colour: ColourWish) -> Exit {
    host::tell(&complaint::written(
        failure,
        &host::Terminal::of_errors(),
        colour,
    ));
    Exit::Failed
}
