//! Whether output may use colour and more than ASCII, and how wide it may be.
//!
//! Off a terminal the answers are always the same, so that output never varies from run to run.

use std::env;
use std::io::{self, IsTerminal};

/// When output is coloured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum ColourWish {
    /// On a terminal that can.
    #[default]
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// What is known about where one stream of output goes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terminal {
    /// Whether it goes to a terminal.
    pub terminal: bool,
    /// Columns of that terminal.
    pub columns: Option<u16>,
    /// `NO_COLOR`.
    pub no_color: Option<String>,
    /// `CLICOLOR_FORCE`.
    pub clicolor_force: Option<String>,
    /// `TERM`.
    pub term: Option<String>,
    /// `LC_ALL`, `LC_CTYPE` and `LANG`: the first that is set decides.
    pub locale: [Option<String>; 3],
}

impl Terminal {
    /// Columns where there is no terminal to ask.
    pub const COLUMNS: usize = 80;
    /// Fewer would break every line, whatever the terminal says.
    const FEWEST_COLUMNS: usize = 40;

    /// Of standard output.
    pub fn of_output() -> Self {
        let columns = terminal_size::terminal_size_of(io::stdout());
        Self::of(io::stdout().is_terminal(), columns)
    }

    /// Of standard error.
    pub fn of_errors() -> Self {
        let columns = terminal_size::terminal_size_of(io::stderr());
        Self::of(io::stderr().is_terminal(), columns)
    }

    /// Of a file: no terminal, and colour only if it is asked for.
    pub fn of_file() -> Self {
        Self::default()
    }

    fn of(terminal: bool, size: Option<(terminal_size::Width, terminal_size::Height)>) -> Self {
        let variable = |name| env::var(name).ok().filter(|value| !value.is_empty());
        let measured = size.map(|(width, _)| width.0);
        let told = variable("COLUMNS").and_then(|columns| columns.parse().ok());
        Self {
            terminal,
            columns: told.or(measured),
            no_color: variable("NO_COLOR"),
            clicolor_force: variable("CLICOLOR_FORCE"),
            term: variable("TERM"),
            locale: ["LC_ALL", "LC_CTYPE", "LANG"].map(variable),
        }
    }

    /// Whether to use colour. A wish outweighs the environment, `NO_COLOR` the other variables.
    pub fn colour(&self, wish: ColourWish) -> bool {
        let forced = self.clicolor_force.as_ref().is_some_and(|v| v != "0");
        let able = self.terminal && self.term.as_deref() != Some("dumb");
        match wish {
            ColourWish::Always => true,
            ColourWish::Never => false,
            ColourWish::Auto => self.no_color.is_none() && (forced || able),
        }
    }

    /// Whether the reader can show more than ASCII: files and pipes can, and so can a terminal
    /// whose locale says so.
    pub fn unicode(&self) -> bool {
        let locale = self.locale.iter().flatten().next();
        let says_so = locale.is_some_and(|name| {
            let name = name.to_ascii_lowercase();
            name.contains("utf-8") || name.contains("utf8")
        });
        // Windows has no such variables; its terminals can.
        !self.terminal || says_so || cfg!(windows) && locale.is_none()
    }

    /// Columns to fill.
    pub fn width(&self) -> usize {
        let columns = self.columns.filter(|_| self.terminal).map(usize::from);
        columns.map_or(Self::COLUMNS, |columns| columns.max(Self::FEWEST_COLUMNS))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some(value: &str) -> Option<String> {
        Some(value.to_owned())
    }

    fn terminal() -> Terminal {
        Terminal {
            terminal: true,
            term: some("xterm"),
            ..Terminal::default()
        }
    }

    #[test]
    fn colour_is_for_terminals_that_can() {
        let auto = |terminal: Terminal| terminal.colour(ColourWish::Auto);
        assert!(auto(terminal()));
        assert!(!auto(Terminal::of_file()));
        assert!(!auto(Terminal {
            term: some("dumb"),
            ..terminal()
        }));
        assert!(!auto(Terminal {
            no_color: some("1"),
            ..terminal()
        }));
    }

    #[test]
    fn force_beats_a_pipe_but_not_no_color_nor_a_wish() {
        let forced = Terminal {
            clicolor_force: some("1"),
            ..Terminal::of_file()
        };
        assert!(forced.colour(ColourWish::Auto));
        assert!(!forced.colour(ColourWish::Never));
        let both = Terminal {
            no_color: some("1"),
            ..forced
        };
        assert!(!both.colour(ColourWish::Auto));
        assert!(both.colour(ColourWish::Always));
        let zero = Terminal {
            clicolor_force: some("0"),
            ..Terminal::of_file()
        };
        assert!(!zero.colour(ColourWish::Auto));
    }

    #[test]
    fn the_first_locale_variable_that_is_set_decides() {
        let unicode = |locale| {
            Terminal {
                locale,
                ..terminal()
            }
            .unicode()
        };
        assert!(unicode([None, some("en_GB.UTF-8"), some("C")]));
        assert!(unicode([some("C.utf8"), some("C"), None]));
        assert!(!unicode([
            some("C"),
            some("en_GB.UTF-8"),
            some("en_GB.UTF-8")
        ]));
        assert!(!unicode([None, None, some("de_DE.ISO-8859-1")]));
    }

    #[test]
    fn off_a_terminal_nothing_depends_on_the_environment() {
        let pipe = Terminal {
            columns: Some(200),
            locale: [some("C"), None, None],
            ..Terminal::default()
        };
        assert!(pipe.unicode());
        assert_eq!(pipe.width(), 80);
    }

    #[test]
    fn a_terminal_is_filled_unless_it_is_too_narrow() {
        let width = |columns| {
            Terminal {
                columns,
                ..terminal()
            }
            .width()
        };
        assert_eq!(
            (width(Some(132)), width(Some(7)), width(None)),
            (132, 40, 80)
        );
    }
}
