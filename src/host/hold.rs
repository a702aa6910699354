//! Files of our own, held for as long as somebody needs them.
//!
//! Whoever makes such a file holds a lock on it, which the system lets go of when the process ends,
//! however it ends. So a lock that can be had means that nobody needs the file any more. Where a file
//! system has no locks, that is never known, and the file stays.

use std::fs::{File, Metadata};
use std::path::Path;

use super::identity::is_at;

/// Holds a file that was just made, until it is closed. False if somebody took it away before.
pub(super) fn hold(file: &File, path: &Path) -> bool {
    // Where there are no locks, nobody can take it for a leftover either.
    let _ = file.lock();
    is_at(file, path)
}

/// The file at `path`, held from now on, if it is an ordinary one and nobody else holds it.
pub(super) fn held_by_nobody(path: &Path) -> Option<File> {
    // Asked before it is opened: opening a pipe would wait for ever.
    path.symlink_metadata().ok().filter(Metadata::is_file)?;
    let file = File::open(path).ok()?;
    file.try_lock().ok()?;
    is_at(&file, path).then_some(file)
}
