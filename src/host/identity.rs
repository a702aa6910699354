//! Which file it is, whatever it is called.

use std::fs::{File, Metadata};
use std::path::Path;

/// Which file it is: its device, and its number there.
#[cfg(unix)]
pub(super) type Identity = (u64, u64);
/// As much as is known of it elsewhere: when it was made.
#[cfg(not(unix))]
pub(super) type Identity = Option<std::time::SystemTime>;

#[cfg(unix)]
pub(super) fn identity(about: &Metadata) -> Identity {
    use std::os::unix::fs::MetadataExt;
    (about.dev(), about.ino())
}

#[cfg(not(unix))]
pub(super) fn identity(about: &Metadata) -> Identity {
    about.created().ok()
}

/// Whether an open file is the one that has this name, and not one behind a link of this name.
pub(super) fn is_at(file: &File, path: &Path) -> bool {
    let (open, named) = (file.metadata(), path.symlink_metadata());
    let both = open.ok().zip(named.ok());
    both.is_some_and(|(open, named)| identity(&open) == identity(&named))
}
