//! The command line: words in, exit code out.

use std::process::ExitCode;

use cordwright::command::{self, Exit};

#[expect(
    clippy::disallowed_methods,
    reason = "the command line is read once, here"
)]
fn main() -> ExitCode {
    let words: Vec<_> = std::env::args_os().collect();
    // A breakdown has told its story on standard error; what is left is the exit code.
    let exit = std::panic::catch_unwind(|| command::run(words));
    ExitCode::from(exit.unwrap_or(Exit::Failed))
}
