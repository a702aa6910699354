//! What is wrong with the words of a command line, what to write instead, and where to look it up.

use std::error::Error as _;
use std::ffi::OsString;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Arg, Command};

use crate::command::names::nearest;
use crate::failure::Failure;

/// What the parser found wrong, as a failure of ours.
pub(super) fn failure(error: &clap::Error, command: &Command, args: &[OsString]) -> Failure {
    let wrong = Wrong {
        error,
        all: command,
        asked: args
            .iter()
            .skip(1)
            .find_map(|word| command.find_subcommand(word)),
    };
    let told = match error.kind() {
        ErrorKind::InvalidSubcommand => wrong.command(),
        ErrorKind::UnknownArgument => wrong.argument(),
        ErrorKind::InvalidValue => wrong.value(),
        ErrorKind::ValueValidation => wrong.unfit_value(),
        ErrorKind::MissingRequiredArgument => wrong.missing(),
        ErrorKind::ArgumentConflict => wrong.conflict(),
        _ => None,
    };
    told.unwrap_or_else(|| wrong.otherwise())
}

/// A mistake and where it was made.
struct Wrong<'a> {
    error: &'a clap::Error,
    /// Everything that the command line takes.
    all: &'a Command,
    /// The command that was asked for.
    asked: Option<&'a Command>,
}

impl Wrong<'_> {
    /// The command as it is typed.
    fn typed(&self) -> String {
        let name = self.asked.map(|asked| format!(" {}", asked.get_name()));
        format!("{}{}", self.all.get_name(), name.unwrap_or_default())
    }

    /// Where everything that may be written is told.
    fn help(&self) -> String {
        format!("\"{} --help\" lists what can be written.", self.typed())
    }

    fn said(&self, kind: ContextKind) -> Option<&str> {
        match self.error.get(kind)? {
            ContextValue::String(text) => Some(text),
            _ => None,
        }
    }

    fn list(&self, kind: ContextKind) -> Vec<&str> {
        match self.error.get(kind) {
            Some(ContextValue::Strings(texts)) => texts.iter().map(String::as_str).collect(),
            Some(ContextValue::String(text)) => vec![text],
            _ => Vec::new(),
        }
    }

    /// A command that does not exist.
    fn command(&self) -> Option<Failure> {
        let name = self.said(ContextKind::InvalidSubcommand)?;
        let commands = self.all.get_subcommands().map(Command::get_name);
        let advice = match nearest(name, commands) {
            Some(command) => format!("Did you mean \"{command}\"? {}", self.help()),
            None => self.help(),
        };
        Some(Failure::new(format!("there is no command \"{name}\"")).advise(advice))
    }

    /// An option that the command does not have, or a word for which it has no use.
    fn argument(&self) -> Option<Failure> {
        let word = self.said(ContextKind::InvalidArg)?;
        let typed = self.typed();
        if !word.starts_with('-') {
            let failure = Failure::new(format!("\"{typed}\" has no use for \"{word}\""));
            return Some(failure.advise(self.help()));
        }
        let option = word.split_once('=').map_or(word, |(option, _)| option);
        let known: Vec<String> = options(self.asked.unwrap_or(self.all)).collect();
        if let Some(asked) = self
            .asked
            .filter(|_| known.iter().any(|known| known == option))
        {
            let what = format!("\"{option}\" stands before the command that it belongs to");
            let advice = format!("Write it behind \"{}\".", asked.get_name());
            return Some(Failure::new(what).advise(advice));
        }
        let of_all: Vec<String> = options(self.all).collect();
        let near = nearest(option, known.iter().chain(&of_all).map(String::as_str));
        let elsewhere = self.with_option(option);
        let advice = match (near, elsewhere.as_slice()) {
            (Some(near), _) => format!("Did you mean \"{near}\"? {}", self.help()),
            (None, []) => self.help(),
            (None, commands) => {
                let commands = commands.join(", ");
                format!("It is an option of {commands}, and stands behind the command.")
            }
        };
        Some(Failure::new(format!("\"{option}\" is no option of \"{typed}\"")).advise(advice))
    }

    /// The commands that have this option.
    fn with_option(&self, option: &str) -> Vec<String> {
        let commands = self.all.get_subcommands();
        let with = commands.filter(|command| options(command).any(|known| known == option));
        with.map(|command| format!("\"{}\"", command.get_name()))
            .collect()
    }

    /// A value that is none of those that can be, or none at all.
    fn value(&self) -> Option<Failure> {
        let (value, option) = (self.said(ContextKind::InvalidValue)?, self.option()?);
        let possible = self.list(ContextKind::ValidValue);
        let list = match possible.as_slice() {
            [] => format!("Write {}.", self.said(ContextKind::InvalidArg)?),
            some => format!("Possible are {}.", some.join(", ")),
        };
        if value.is_empty() {
            return Some(Failure::new(format!("{option} has no value")).advise(list));
        }
        let advice = match nearest(value, possible.into_iter()) {
            Some(near) => format!("Did you mean \"{near}\"? {list}"),
            None => list,
        };
        Some(Failure::new(format!("\"{value}\" is no value for {option}")).advise(advice))
    }

    /// A value that cannot be read.
    fn unfit_value(&self) -> Option<Failure> {
        let (value, option) = (self.said(ContextKind::InvalidValue)?, self.option()?);
        let why = self.error.source()?;
        let failure = Failure::new(format!("\"{value}\" is no value for {option}: {why}"));
        Some(failure.advise(self.help()))
    }

    /// The option, or the place of the word, that a value is for.
    fn option(&self) -> Option<&str> {
        let whole = self.said(ContextKind::InvalidArg)?;
        Some(whole.split([' ', '=']).next().unwrap_or(whole))
    }

    /// What must be written and is not.
    fn missing(&self) -> Option<Failure> {
        let missing = self.list(ContextKind::InvalidArg);
        let asked = self.asked.unwrap_or(self.all);
        let choices = missing.iter().filter_map(|what| choices(asked, what));
        let choices: String = choices.map(|choices| format!("{choices} ")).collect();
        let what = format!("\"{}\" needs {}", self.typed(), missing.join(" and "));
        (!missing.is_empty()).then(|| Failure::new(what).advise(choices + &self.help()))
    }

    /// What does not go together, or stands there twice.
    fn conflict(&self) -> Option<Failure> {
        let (one, prior) = (self.option()?, self.list(ContextKind::PriorArg));
        let others: Vec<&str> = prior
            .iter()
            .map(|other| other.split([' ', '=']).next().unwrap_or(other))
            .collect();
        let what = match others.as_slice() {
            [] => return None,
            [other] if *other == one => format!("{one} is given more than once"),
            others => format!("{one} does not go together with {}", others.join(" and ")),
        };
        Some(Failure::new(what).advise(format!("Leave one of them out. {}", self.help())))
    }

    /// What is too rare to have words of its own: the first paragraph of the parser's.
    fn otherwise(&self) -> Failure {
        let text = self.error.render().to_string();
        let what = text.trim().split("\n\n").next().unwrap_or_default();
        let what = what.strip_prefix("error: ").unwrap_or(what);
        Failure::new(what).advise(self.help())
    }
}

/// The options of a command, as they are typed.
fn options(command: &Command) -> impl Iterator<Item = String> + '_ {
    let names = command.get_arguments().filter_map(Arg::get_long);
    names.map(|name| format!("--{name}"))
}

/// The words among which an argument of a command has to be chosen.
fn choices(command: &Command, what: &str) -> Option<String> {
    let is_meant = |arg: &&Arg| arg.to_string() == what;
    let arg = command.get_arguments().find(is_meant)?;
    let values = arg.get_possible_values();
    let args: Vec<&str> = values.iter().map(|value| value.get_name()).collect();
    (!args.is_empty()).then(|| format!("Possible are {}.", args.join(", ")))
}

#[cfg(test)]
mod tests {
    use clap::{Args, Parser, Subcommand, ValueEnum};

    use super::super::{Unread, read};
    use super::*;

    #[derive(Debug, Parser)]
    #[command(name = "tool")]
    struct Arguments {
        #[command(subcommand)]
        command: Commands,
        #[arg(long, global = true)]
        color: bool,
    }

    #[derive(Debug, Subcommand)]
    enum Commands {
        Check(Check),
        Draw(Draw),
    }

    #[derive(Debug, Args)]
    struct Check {
        #[arg(long, value_enum)]
        format: Option<Shape>,
        #[arg(long)]
        most: Option<u8>,
        #[arg(long, conflicts_with = "most")]
        all: bool,
    }

    #[derive(Debug, Args)]
    struct Draw {
        #[arg(long, value_enum)]
        form: Shape,
        file: String,
    }

    #[derive(Clone, Copy, Debug, ValueEnum)]
    enum Shape {
        Lines,
        Json,
    }

    /// What is said of a command line: what is wrong, and what to do.
    #[track_caller]
    fn said(line: &str) -> (String, String) {
        let args = line.split(' ').map(OsString::from).collect();
        match read::<Arguments>(args) {
            Err(Unread::Wrong(failure)) => (failure.what, failure.advice.unwrap()),
            other => panic!("{other:?}"),
        }
    }

    const LISTS: &str = "\"tool check --help\" lists what can be written.";

    #[test]
    fn each_mistake_has_words_of_its_own_and_says_what_to_do() {
        for (line, what, advice) in [
            (
                "tool chekc",
                "there is no command \"chekc\"",
                "Did you mean \"check\"? \"tool --help\" lists what can be written.",
            ),
            (
                "tool xyz",
                "there is no command \"xyz\"",
                "\"tool --help\" lists what can be written.",
            ),
            (
                "tool check --formt=json",
                "\"--formt\" is no option of \"tool check\"",
                &format!("Did you mean \"--format\"? {LISTS}"),
            ),
            (
                "tool --format json check",
                "\"--format\" stands before the command that it belongs to",
                "Write it behind \"check\".",
            ),
            (
                "tool --format json",
                "\"--format\" is no option of \"tool\"",
                "It is an option of \"check\", and stands behind the command.",
            ),
            (
                "tool check here",
                "\"tool check\" has no use for \"here\"",
                LISTS,
            ),
            (
                "tool check --format xml",
                "\"xml\" is no value for --format",
                "Possible are lines, json.",
            ),
            (
                "tool check --format jsn",
                "\"jsn\" is no value for --format",
                "Did you mean \"json\"? Possible are lines, json.",
            ),
            (
                "tool check --most",
                "--most has no value",
                "Write --most <MOST>.",
            ),
            (
                "tool check --most many",
                "\"many\" is no value for --most: invalid digit found in string",
                LISTS,
            ),
            (
                "tool check --most 3 --all",
                "--most does not go together with --all",
                &format!("Leave one of them out. {LISTS}"),
            ),
            (
                "tool check --most 3 --most 4",
                "--most is given more than once",
                &format!("Leave one of them out. {LISTS}"),
            ),
            (
                "tool draw",
                "\"tool draw\" needs --form <FORM> and <FILE>",
                "Possible are lines, json. \"tool draw --help\" lists what can be written.",
            ),
        ] {
            let expected = (what.to_owned(), advice.to_owned());
            assert_eq!(said(line), expected, "{line}");
        }
    }
}
