//! Writing files: each whole, and those that belong together all or none.
//!
//! Every new text is first set aside, in a file of ours beside the one that it is to become, and
//! brought to the disk. Only when all of them lie there do they take their names, one after the
//! other; if one cannot, those before it get their old texts back, which were set aside as well.
//! A run that is killed leaves files behind that the next one clears (`claim`).
//!
//! A link is never written through, and a file with several names (hard links) is never replaced:
//! its other names would keep the old text. Owner, group and mode stay, or nothing is written; what
//! a system keeps of a file besides these (access lists, marks) does not come along.

mod aside;
mod claim;
mod original;
mod output;
mod place;
mod ready;
mod tracked;

use std::io;
use std::path::{Path, PathBuf};

use super::paths::shown;
use super::read::words;
use crate::failure::Failure;

use aside::Aside;
use place::Place;
use ready::Ready;

pub use original::{Original, Originals};
pub use output::write_output;

/// Files that are written together or not at all.
#[derive(Debug, Default)]
pub struct AllOrNone<'a> {
    steps: Vec<Step<'a>>,
}

/// One file to be written.
#[derive(Debug)]
struct Step<'a> {
    path: PathBuf,
    /// The path in words.
    shown: String,
    text: &'a [u8],
    place: Place<'a>,
}

/// Why a file is not written, and what to do about it.
#[derive(Debug, PartialEq, Eq)]
struct Obstacle {
    why: String,
    advice: &'static str,
}

impl Obstacle {
    fn new(why: impl Into<String>, advice: &'static str) -> Self {
        Self {
            why: why.into(),
            advice,
        }
    }
}

impl From<io::Error> for Obstacle {
    fn from(error: io::Error) -> Self {
        use io::ErrorKind::{FileTooLarge, QuotaExceeded, StorageFull};
        let advice = match error.kind() {
            FileTooLarge | QuotaExceeded | StorageFull => "Make room there, and run it again.",
            _ => "See to it that the file and its folder can be written.",
        };
        Self::new(words(&error), advice)
    }
}

impl<'a> AllOrNone<'a> {
    /// Adds a new file, with the folders that it needs.
    pub fn create(&mut self, path: &Path, text: &'a [u8]) {
        self.add(path, text, Place::Free { within: None });
    }

    /// As [`AllOrNone::create`], for a file in `folder`: neither that nor a folder between may be a
    /// link.
    pub fn create_within(&mut self, folder: &Path, below: &str, text: &'a [u8]) {
        // Without the slash or dot at its end, behind which a link would not be seen.
        let folder: PathBuf = folder.components().collect();
        let path = folder.join(below);
        let within = Some(folder);
        self.add(&path, text, Place::Free { within });
    }

    /// Adds a file that was read with the text `before`, and gets another now.
    pub fn rewrite(&mut self, original: &'a Original, before: &'a [u8], text: &'a [u8]) {
        let path = original.path();
        self.steps.push(Step {
            path: path.to_owned(),
            shown: original.shown(),
            text,
            place: Place::AsRead { original, before },
        });
    }

    /// Adds a file whose text does not matter, be it there already or not.
    fn put(&mut self, path: &Path, text: &'a [u8]) {
        self.add(path, text, Place::Any);
    }

    fn add(&mut self, path: &Path, text: &'a [u8], place: Place<'a>) {
        self.steps.push(Step {
            path: path.to_owned(),
            shown: shown(path),
            text,
            place,
        });
    }

    /// Writes all of them, or leaves everything as it was.
    ///
    /// # Errors
    /// What one of them could not be written for, and what became of each.
    pub fn carry_out(self) -> Result<(), Failure> {
        self.set_aside()?.put_in_place()
    }

    /// Lays everything ready without touching any file that is there.
    fn set_aside(self) -> Result<Ready<'a>, Failure> {
        let is_alone = self.steps.len() == 1;
        let mut ready = Ready::default();
        for step in &self.steps {
            let found = step.place.look(&step.path);
            found.map_err(|obstacle| step.refused(&obstacle))?;
        }
        for step in self.steps {
            ready.lay(step, is_alone)?;
        }
        Ok(ready)
    }
}

impl Step<'_> {
    fn what(&self, obstacle: &Obstacle) -> String {
        format!("cannot write {}: {}", self.shown, obstacle.why)
    }

    /// The failure where no file is touched yet.
    fn refused(&self, obstacle: &Obstacle) -> Failure {
        let failure = Failure::new(self.what(obstacle));
        failure.advise(format!("Nothing was written. {}", obstacle.advice))
    }

    /// Gives the text its name.
    fn put_in_place(&self, text: Aside) -> Result<(), Obstacle> {
        // Once more, because others may have been at work since.
        match self.place.look(&self.path)? {
            Some(_) => text.replace(&self.path)?,
            None => text.take_name(&self.path)?,
        }
        Ok(())
    }

    fn folder(&self) -> &Path {
        let folder = self.path.parent();
        let folder = folder.filter(|up| !up.as_os_str().is_empty());
        folder.unwrap_or(Path::new("."))
    }
}

#[cfg(test)]
mod tests;
