//! What must stand at a path for a text to go there.

use std::borrow::Cow;
use std::fs::{self, Metadata};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use super::super::paths::shown;
use super::{Obstacle, Original};

/// What must stand at a path for a text to go there.
#[derive(Debug)]
pub(super) enum Place<'a> {
    /// Nothing. No folder from `within` on may be a link.
    Free { within: Option<PathBuf> },
    /// The very file that was read, with the text that it had then.
    AsRead {
        original: &'a Original,
        before: &'a [u8],
    },
    /// Nothing, or a file that may be replaced.
    Any,
}

impl Place<'_> {
    /// Whether folders are made that are not there yet.
    pub(super) fn makes_folders(&self) -> bool {
        matches!(self, Self::Free { .. })
    }

    /// The file that is replaced, if one is; an obstacle where `path` is not what it must be.
    pub(super) fn look(&self, path: &Path) -> Result<Option<Metadata>, Obstacle> {
        match self {
            Self::Free { within } => {
                let folders = within.iter().flat_map(|top| folders_below(top, path));
                folders.into_iter().try_for_each(no_link)?;
                match there(path)? {
                    Some(_) => Err(already_there()),
                    None => Ok(None),
                }
            }
            Self::AsRead { original, before } => original.still_is(before).map(Some),
            Self::Any => there(path)?.map(replaceable).transpose(),
        }
    }

    /// The text of the file that is replaced.
    pub(super) fn text(&self, path: &Path) -> io::Result<Cow<'_, [u8]>> {
        match self {
            Self::AsRead { before, .. } => Ok(Cow::Borrowed(before)),
            Self::Free { .. } | Self::Any => fs::read(path).map(Cow::Owned),
        }
    }
}

/// What is at a path, be it a link that leads nowhere.
fn there(path: &Path) -> io::Result<Option<Metadata>> {
    match path.symlink_metadata() {
        Ok(about) => Ok(Some(about)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// The folders from `top` to that of `path`.
fn folders_below<'p>(top: &Path, path: &'p Path) -> Vec<&'p Path> {
    let above = path.ancestors().skip(1);
    let mut folders: Vec<&Path> = above.take_while(|folder| folder.starts_with(top)).collect();
    folders.reverse();
    folders
}

fn no_link(folder: &Path) -> Result<(), Obstacle> {
    if !folder.is_symlink() {
        return Ok(());
    }
    let why = format!("{} is a link, which is not followed", shown(folder));
    Err(Obstacle::new(why, "Name the folder itself."))
}

fn already_there() -> Obstacle {
    Obstacle::new(
        "something is there already",
        "Name another place; what is there is not written over.",
    )
}

/// A file that may be replaced: an ordinary one with no other name, which is not write-protected.
pub(super) fn replaceable(about: Metadata) -> Result<Metadata, Obstacle> {
    if about.is_symlink() {
        return Err(Obstacle::new(
            "it is a link, which is not followed",
            "Name the file itself.",
        ));
    }
    if about.is_dir() {
        return Err(Obstacle::new("it is a folder", "Name a file."));
    }
    if !about.is_file() {
        return Err(Obstacle::new("it is not an ordinary file", "Name a file."));
    }
    if about.permissions().readonly() {
        return Err(Obstacle::new(
            "it is write-protected",
            "Name another file, or lift the protection if that is meant.",
        ));
    }
    match names(&about) {
        1 => Ok(about),
        many => Err(Obstacle::new(
            format!("it has {many} names (hard links), and the others would keep the old text"),
            "Make it a file of its own first, by a copy in its place.",
        )),
    }
}

/// How many names a file has, as far as the system tells.
#[cfg(unix)]
fn names(about: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::nlink(about)
}

#[cfg(not(unix))]
fn names(_: &Metadata) -> u64 {
    1
}
