//! Where a command puts what it makes: standard output, or a file.

use std::path::PathBuf;

use crate::failure::Failure;
use crate::host;
use crate::ink;
use crate::judgement::{file_globs, may_define};

/// Where what is made goes.
#[derive(Debug, clap::Args)]
pub(super) struct Output {
    /// Write it to this file, whole or not at all
    #[arg(long = "output", value_name = "FILE")]
    file: Option<PathBuf>,
    /// Let that file be one with definitions, which are then lost
    // Seldom needed: the manual has it, and so has the refusal of such a file.
    #[arg(long, requires = "file", hide = true)]
    over_definitions: bool,
}

impl Output {
    /// Whether it goes to a file.
    pub fn is_file(&self) -> bool {
        self.file.is_some()
    }

    /// Puts it there.
    ///
    /// # Errors
    /// It cannot be written, or would take the place of definitions.
    pub fn deliver(&self, output: &ink::Output) -> Result<(), Failure> {
        let Some(file) = &self.file else {
            return host::to_standard_output(output);
        };
        let lost = match self.over_definitions {
            true => None,
            false => host::lost_by_writing(file, &file_globs, &may_define),
        };
        if let Some(why) = lost {
            let what = format!("cannot write {}: {why}", host::shown(file));
            return Err(Failure::new(what).advise(
                "Nothing was written. Name another file. To lose what this one holds, add \
                 --over-definitions.",
            ));
        }
        host::write_output(file, output.bytes())
    }
}
