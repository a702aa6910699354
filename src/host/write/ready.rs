//! Texts set aside, and how they take their names: all of them, or none.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, Metadata};
use std::io;
use std::path::{Path, PathBuf};

use super::super::read::words;
use super::aside::Aside;
use super::claim::Claim;
use super::{Obstacle, Step};
use crate::failure::Failure;

/// Everything set aside; dropped, it is all gone again.
#[derive(Debug, Default)]
pub(super) struct Ready<'a> {
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
struct Done<'a> {
    step: Step<'a>,
    /// What it had before; `None` if it was not there.
    old: Option<Aside>,
}

impl<'a> Ready<'a> {
    /// Adds a file. What is alone is never put back.
    pub(super) fn lay(&mut self, step: Step<'a>, is_alone: bool) -> Result<(), Failure> {
        match self.laid(&step, is_alone) {
            Ok((new, old)) => self.pairs.push(Pair { step, new, old }),
            Err(obstacle) => return Err(step.refused(&obstacle)),
        }
        Ok(())
    }

    /// The new text of a file set aside, and the old one.
    fn laid(
        &mut self,
        step: &Step<'_>,
        is_alone: bool,
    ) -> Result<(Aside, Option<Aside>), Obstacle> {
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
    ///
    /// # Errors
    /// What one of them could not be written for, and what became of each.
    pub(super) fn put_in_place(mut self) -> Result<(), Failure> {
        let mut done: Vec<Done<'_>> = Vec::new();
        let mut pairs = std::mem::take(&mut self.pairs).into_iter();
        while let Some(pair) = pairs.next() {
            let Pair { step, new, old } = pair;
            if let Err(obstacle) = step.put_in_place(new) {
                let rest = pairs.map(|pair| pair.step.shown);
                let unwritten = std::iter::once(step.shown.clone()).chain(rest);
                let told = undone(done, unwritten.collect(), obstacle.advice);
                return Err(Failure::new(step.what(&obstacle)).advise(told));
            }
            done.push(Done { step, old });
        }
        self.folders.keep();
        let folders: BTreeSet<&Path> = done.iter().map(|one| one.step.folder()).collect();
        folders.into_iter().for_each(to_the_disk);
        Ok(())
    }
}

impl Done<'_> {
    /// Puts back what was there before, unless somebody has changed the file again.
    fn undo(self) -> Result<String, String> {
        let Self { step, old } = self;
        let undone = match (fs::read(&step.path), old) {
            (Err(error), _) => Err(error),
            (Ok(text), _) if text != step.text => Err(io::Error::other("it has changed again")),
            (Ok(_), Some(old)) => old.put_back(&step.path),
            (Ok(_), None) => fs::remove_file(&step.path),
        };
        match undone {
            Ok(()) => Ok(step.shown),
            Err(error) => Err(format!("{} ({})", step.shown, words(&error))),
        }
    }
}

/// Puts back what was done, the last first, and tells what has become of every file.
fn undone(done: Vec<Done<'_>>, unwritten: Vec<String>, advice: &str) -> String {
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
        told.push(format!("Could not be put back, and is changed: {stuck}."));
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
mod tests {
    use super::super::place::Place;
    use super::*;
    use crate::host::folder::Folder;

    /// A new file that was written with the text `new`.
    fn done<'a>(folder: &Folder) -> Done<'a> {
        let step = Step {
            path: folder.at("a.yaml"),
            shown: "a.yaml".to_owned(),
            text: b"new",
            place: Place::Free { within: None },
        };
        Done { step, old: None }
    }

    #[test]
    fn what_somebody_changed_again_is_not_lost_when_the_rest_is_put_back() {
        let folder = Folder::with(&[]);
        folder.put("a.yaml", "theirs");
        let told = undone(vec![done(&folder)], vec!["b.yaml".to_owned()], "Advice.");
        assert_eq!(
            told,
            "Could not be put back, and is changed: a.yaml (it has changed again).\n\
             Not written: b.yaml.\nAdvice."
        );
        assert_eq!(fs::read(folder.at("a.yaml")).unwrap(), b"theirs");
        folder.put("a.yaml", "new");
        let told = undone(vec![done(&folder)], vec!["b.yaml".to_owned()], "Advice.");
        assert!(told.contains("Put back as it was: a.yaml."), "{told}");
        assert!(!folder.at("a.yaml").exists());
    }
}
