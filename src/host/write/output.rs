//! A file that a command line names for what is made.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;

use super::super::paths::{settle, shown};
use super::super::read::words;
use super::AllOrNone;
use crate::failure::Failure;

/// Puts `bytes` in the place of the file at `path`, so that no reader ever sees half of them. What
/// is no ordinary file, as a pipe or `/dev/stdout`, is written to.
///
/// # Errors
/// The system's own; a link to a file, a file with several names, one that is write-protected or
/// that would come to belong to somebody else.
pub fn write_output(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    if is_stream(path) {
        return append(path, bytes).map_err(|error| {
            let what = format!("cannot write to {}: {}", shown(path), words(&error));
            Failure::new(what).advise("Name a file, or something that takes what is written.")
        });
    }
    let mut only = AllOrNone::default();
    only.put(path, bytes);
    only.carry_out()
}

/// Whether there is something that takes what is written and keeps no place of its own.
fn is_stream(path: &Path) -> bool {
    let leads_to = path.metadata();
    leads_to.is_ok_and(|about| !about.is_dir() && (!about.is_file() || is_of_the_system(path)))
}

/// Whether it is a link by which the system names what a process has open, such as `/dev/stdout`:
/// that may be a file, to which somebody else writes as well.
fn is_of_the_system(path: &Path) -> bool {
    let settled = settle(path);
    let folder = settled.parent().unwrap_or(Path::new(""));
    path.is_symlink() && (folder == Path::new("/dev") || folder.starts_with("/proc"))
}

fn append(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut stream = OpenOptions::new().append(true).open(path)?;
    stream.write_all(bytes)?;
    stream.flush()
}
