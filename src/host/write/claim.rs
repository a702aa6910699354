//! Our claim on a folder: for as long as it is held, the texts set aside there are in use.
//!
//! It is a file that is locked, which the system lets go of when the process ends, however it ends.
//! All files that belong to a claim bear a sign that is drawn by chance. The claim is there before
//! the first of them, and goes after the last; so what bears the sign of no claim that is held was
//! left by a run that was killed.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use super::super::hold::{held_by_nobody, hold};
use super::tracked::is_tracked;

const BEGIN: &str = ".cordwright-";
const CLAIM: &str = ".claim";
const ASIDE: &str = ".aside";
/// Letters and digits of a claim's sign.
const SIGN: usize = 12;
/// Letters and digits that tell the texts of one claim apart.
const NUMBER: usize = 6;
/// How often a claim is made anew that somebody took away at once.
const TRIES: usize = 8;

/// Our claim on a folder; gone when it is dropped.
#[derive(Debug)]
pub(super) struct Claim {
    folder: PathBuf,
    sign: String,
    _held: NamedTempFile,
}

impl Claim {
    /// Claims a folder, after what killed runs left there is taken away.
    pub(super) fn on(folder: &Path) -> io::Result<Self> {
        clear(folder);
        for _ in 0..TRIES {
            let mut builder = Builder::new();
            builder.prefix(BEGIN).suffix(CLAIM).rand_bytes(SIGN);
            let file = builder.tempfile_in(folder)?;
            let sign = file
                .path()
                .file_name()
                .and_then(|name| sign_of(name.to_str()?));
            let sign = sign.map(str::to_owned);
            // Before it was held, another run may have taken it for a leftover.
            if let (Some(sign), true) = (sign, hold(file.as_file(), file.path())) {
                return Ok(Self {
                    folder: folder.to_owned(),
                    sign,
                    _held: file,
                });
            }
        }
        Err(io::Error::other(
            "files vanish here as soon as they are made",
        ))
    }

    /// An empty file that bears the sign of this claim.
    pub(super) fn new_file(&self) -> io::Result<NamedTempFile> {
        let begin = format!("{BEGIN}{}-", self.sign);
        let mut builder = Builder::new();
        builder.prefix(&begin).suffix(ASIDE).rand_bytes(NUMBER);
        // Readable as any new file is: temporary files are private otherwise.
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            builder.permissions(fs::Permissions::from_mode(0o666));
        }
        builder.tempfile_in(&self.folder)
    }

    /// Lets go of it as a process does that is killed.
    #[cfg(test)]
    pub(super) fn left_behind(self) -> PathBuf {
        self._held.keep().unwrap().1
    }
}

/// The sign in a name of ours, of a claim or of a text set aside.
fn sign_of(name: &str) -> Option<&str> {
    let drawn = name.strip_prefix(BEGIN)?;
    let (sign, rest) = drawn.split_at_checked(SIGN)?;
    let number = rest
        .strip_prefix('-')
        .and_then(|rest| rest.strip_suffix(ASIDE));
    let is_plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_alphanumeric());
    let is_ours = match number {
        Some(number) => number.len() == NUMBER && is_plain(number),
        None => rest == CLAIM,
    };
    (is_ours && is_plain(sign)).then_some(sign)
}

/// Takes away what killed runs left in a folder. What is not surely theirs stays: what is no
/// ordinary file, what git keeps, and what belongs to a claim that is held or of which that is not
/// known.
pub(super) fn clear(folder: &Path) {
    let Ok(entries) = folder.read_dir() else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let sign = name.to_str().and_then(sign_of);
        let is_file = entry.file_type().is_ok_and(|kind| kind.is_file());
        if let Some(sign) = sign.filter(|_| is_file) {
            clear_one(&entry.path(), &folder.join(format!("{BEGIN}{sign}{CLAIM}")));
        }
    }
}

/// Takes away a file that belongs to `claim`, unless that is held.
fn clear_one(path: &Path, claim: &Path) {
    let held = held_by_nobody(claim);
    let is_free = held.is_some() || claim.symlink_metadata().is_err_and(|error| is_gone(&error));
    if is_free && !is_tracked(path) {
        // A claim is locked until it is gone, so that nobody begins to hold it meanwhile.
        let _ = fs::remove_file(path);
    }
}

fn is_gone(error: &io::Error) -> bool {
    error.kind() == io::ErrorKind::NotFound
}
