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
mod tracked;

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, Metadata};
use std::io;
use std::path::{Path, PathBuf};

use super::paths::shown;
use super::read::words;
use crate::failure::Failure;

use aside::Aside;
use claim::Claim;
use place::Place;

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
            match ready.lay(&step, is_alone) {
                Ok((new, old)) => ready.pairs.push(Pair { step, new, old }),
                Err(obstacle) => return Err(step.refused(&obstacle)),
            }
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
        folder_of(&self.path)
    }
}

fn folder_of(path: &Path) -> &Path {
    let folder = path.parent().filter(|up| !up.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

/// Everything set aside; dropped, it is all gone again.
#[derive(Debug, Default)]
struct Ready<'a> {
    pairs: Vec<Pair<'a>>,
    /// One for each folder, however many files it has.
    claims: BTreeMap<PathBuf, Claim>,
    // Last, because folders go only once they are empty.
    folders: MadeFolders,
}

/// A new text, and the old one where there is one that may have to be put back.
#[derive(Debug)]
struct Pair<'a> {
    step: Step<'a>,
    new: Aside,
    old: Option<Aside>,
}

/// A file that has its new text.
struct Done {
    path: PathBuf,
    shown: String,
    /// What it had before; `None` if it was not there.
    old: Option<Aside>,
}

impl Ready<'_> {
    fn lay(&mut self, step: &Step<'_>, is_alone: bool) -> Result<(Aside, Option<Aside>), Obstacle> {
        let folder = step.folder();
        if step.place.makes_folders() {
            self.folders.make(folder)?;
        }
        let claim = match self.claims.entry(folder.to_owned()) {
            Entry::Occupied(claimed) => claimed.into_mut(),
            Entry::Vacant(free) => free.insert(Claim::on(folder)?),
        };
        let before: Option<Metadata> = step.place.look(&step.path)?;
        let new = Aside::new(claim, step.text, before.as_ref())?;
        // What stands alone is never put back.
        let old = match before.filter(|_| !is_alone) {
            Some(before) => {
                let text = step.place.text(&step.path)?;
                Some(Aside::of_before(claim, &text, &before)?)
            }
            None => None,
        };
        Ok((new, old))
    }

    /// Gives every text its name.
    fn put_in_place(mut self) -> Result<(), Failure> {
        let mut done: Vec<Done> = Vec::new();
        let mut pairs = std::mem::take(&mut self.pairs).into_iter();
        while let Some(pair) = pairs.next() {
            let Pair { step, new, old } = pair;
            if let Err(obstacle) = step.put_in_place(new) {
                let rest = pairs.map(|pair| pair.step.shown);
                let unwritten = std::iter::once(step.shown.clone()).chain(rest);
                let told = undone(done, unwritten.collect(), obstacle.advice);
                return Err(Failure::new(step.what(&obstacle)).advise(told));
            }
            done.push(Done {
                path: step.path,
                shown: step.shown,
                old,
            });
        }
        self.folders.keep();
        let folders: BTreeSet<&Path> = done.iter().map(|one| folder_of(&one.path)).collect();
        folders.into_iter().for_each(to_the_disk);
        Ok(())
    }
}

impl Done {
    fn undo(self) -> Result<String, String> {
        let undone = match self.old {
            Some(old) => old.put_back(&self.path),
            None => fs::remove_file(&self.path),
        };
        match undone {
            Ok(()) => Ok(self.shown),
            Err(error) => Err(format!("{} ({})", self.shown, words(&error))),
        }
    }
}

/// Puts back what was done, the last first, and tells what has become of every file.
fn undone(done: Vec<Done>, unwritten: Vec<String>, advice: &str) -> String {
    let (mut back, mut stuck) = (Vec::new(), Vec::new());
    for one in done.into_iter().rev() {
        match one.undo() {
            Ok(shown) => back.insert(0, shown),
            Err(why) => stuck.insert(0, why),
        }
    }
    let mut told = Vec::new();
    if stuck.is_empty() {
        told.push("Nothing is changed.".to_owned());
    } else {
        let stuck = stuck.join(", ");
        told.push(format!(
            "Could not be put back, and has its new text: {stuck}."
        ));
    }
    if !back.is_empty() {
        told.push(format!("Put back as it was: {}.", back.join(", ")));
    }
    told.push(format!("Not written: {}.", unwritten.join(", ")));
    told.push(advice.to_owned());
    told.join("\n")
}

/// Brings the names in a folder to the disk, where the system can.
fn to_the_disk(folder: &Path) {
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}

/// Folders that were made for new files, taken away again unless they are kept.
#[derive(Debug, Default)]
struct MadeFolders(Vec<PathBuf>);

impl MadeFolders {
    /// Makes a folder, and those above it.
    fn make(&mut self, folder: &Path) -> io::Result<()> {
        if folder.is_dir() {
            return Ok(());
        }
        let up = folder.parent().filter(|up| !up.as_os_str().is_empty());
        up.map_or(Ok(()), |up| self.make(up))?;
        fs::create_dir(folder)?;
        self.0.push(folder.to_owned());
        Ok(())
    }

    fn keep(&mut self) {
        self.0.clear();
    }
}

impl Drop for MadeFolders {
    fn drop(&mut self) {
        for folder in self.0.iter().rev() {
            // Whatever else lies in it by now keeps it.
            let _ = fs::remove_dir(folder);
        }
    }
}

#[cfg(test)]
mod tests;
