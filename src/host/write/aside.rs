//! A text set aside: in a file of ours, beside the one that it is to become.

use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use tempfile::{NamedTempFile, TempPath};

use super::Obstacle;
use super::claim::Claim;

/// A text set aside; gone when it is dropped.
#[derive(Debug)]
pub(super) struct Aside(TempPath);

impl Aside {
    /// Sets a new text aside in a folder that we claim, with the owner, group and mode of the file
    /// that is `like` it.
    pub(super) fn new(
        claim: &Claim,
        text: &[u8],
        like: Option<&Metadata>,
    ) -> Result<Self, Obstacle> {
        let file = filled(claim, text, like)?;
        file.as_file().sync_all()?;
        // Closed, because a process may have few files open at once.
        Ok(Self(file.into_temp_path()))
    }

    /// As [`Aside::new`], for the text that a file has now, which is brought to the disk if it is
    /// put back: it seldom is, and that takes most of the time.
    pub(super) fn of_before(claim: &Claim, text: &[u8], like: &Metadata) -> Result<Self, Obstacle> {
        let file = filled(claim, text, Some(like))?;
        Ok(Self(file.into_temp_path()))
    }

    /// Gives the file at `path` this text back.
    pub(super) fn put_back(self, path: &Path) -> io::Result<()> {
        OpenOptions::new().write(true).open(&self.0)?.sync_all()?;
        self.replace(path)
    }

    /// Takes the place of the file at `path`.
    pub(super) fn replace(self, path: &Path) -> io::Result<()> {
        self.0.persist(path).map_err(|error| error.error)
    }

    /// Takes the name `path`, which must be free.
    pub(super) fn take_name(self, path: &Path) -> io::Result<()> {
        self.0.persist_noclobber(path).map_err(|error| error.error)
    }
}

/// A file of ours with this text.
fn filled(claim: &Claim, text: &[u8], like: Option<&Metadata>) -> Result<NamedTempFile, Obstacle> {
    let mut file = claim.new_file()?;
    // Before there is anything in it that not everybody may read.
    if let Some(like) = like {
        belong_alike(file.as_file(), like)?;
        file.as_file().set_permissions(like.permissions())?;
    }
    file.write_all(text)?;
    Ok(file)
}

/// Gives a new file the owner and group of the one before.
#[cfg(unix)]
fn belong_alike(file: &File, before: &Metadata) -> Result<(), Obstacle> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let belongs = |about: &Metadata| (about.uid(), about.gid()) == (before.uid(), before.gid());
    if belongs(&file.metadata()?) {
        return Ok(());
    }
    let given = fchown(file, Some(before.uid()), Some(before.gid()));
    if given.is_ok() && belongs(&file.metadata()?) {
        return Ok(());
    }
    Err(Obstacle::new(
        "it belongs to another user or group, and would become yours",
        "Have its owner run this, or change it by hand.",
    ))
}

#[cfg(not(unix))]
fn belong_alike(_: &File, _: &Metadata) -> Result<(), Obstacle> {
    Ok(())
}
