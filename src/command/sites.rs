//! What the commands share that write something of whole sites: reading them, and delivering it.

use std::path::PathBuf;

use crate::failure::Failure;
use crate::host::{self, Overlay, SiteRoot};
use crate::judgement::{Site, file_globs};

use super::exit::Exit;

/// A site, read and resolved.
pub(super) fn read(root: &SiteRoot) -> Site {
    Site::read(host::read_site(&root.dir, &file_globs, &Overlay::default()))
}

/// Puts a text into a file, or onto standard output where none is named.
pub(super) fn deliver(text: &str, file: Option<&PathBuf>) -> Result<(), Failure> {
    match file {
        Some(file) => host::write_atomically(file, text.as_bytes()),
        None => host::to_standard_output(text.as_bytes()).map(|_| ()),
    }
}

/// How it ends: what is made of a part of the definitions, `a schedule` or `a drawing`, is no success.
pub(super) fn end(what: &str, is_whole: bool) -> Result<Exit, Failure> {
    if is_whole {
        return Ok(Exit::Clean);
    }
    let failure = Failure::new(format!(
        "the {what} is not whole: a part of the definitions was not read"
    ));
    Err(failure.advise(
        "\"cordwright check\" says which part and why. Put that right before you work, order or print by it.",
    ))
}
