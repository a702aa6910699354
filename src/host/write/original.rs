//! The files of a site as they were read, for whoever is to write them anew.
//!
//! A name that is shown does not always lead back to its file: signs that would steer a terminal are
//! replaced in it, and another file may look like it. So the path that was opened is kept, and which
//! file it was.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{File, Metadata};
use std::path::{Path, PathBuf};

use super::super::identity::{identity, is_at};
use super::super::paths::{relative, settle, shown};
use super::super::read::read_within_limit;
use super::place::replaceable;
use super::{Obstacle, claim};
use crate::input::is_shared;

/// A file of a site as it was read.
#[derive(Clone, Debug)]
pub struct Original {
    path: PathBuf,
    reached: Reached,
    /// What the system said of it when it was opened; nothing of a text that stood for it.
    about: Option<Metadata>,
}

/// How a file's name leads to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reached {
    /// The name is its path below the root.
    Plainly,
    /// The name holds signs that are not shown as they are.
    ByAnotherLook,
    /// The name is that of a link to it.
    ByLink,
    /// It lies in a catalogue, which other sites may read as well.
    ByCatalogue,
}

impl Original {
    /// The file at `path`, which is called `name` in the site at the settled `root`.
    pub(in crate::host) fn new(
        root: &Path,
        name: &str,
        path: PathBuf,
        about: Option<Metadata>,
    ) -> Self {
        let below = path.strip_prefix(root).unwrap_or(&path);
        let reached = match below.to_str() {
            _ if is_shared(name) => Reached::ByCatalogue,
            Some(plain) if plain == name && !has_replaced(name) => Reached::Plainly,
            _ if shown(below) != name => Reached::ByLink,
            Some(plain) if plain.replace('\\', "/") == name && !has_replaced(name) => {
                Reached::Plainly
            }
            _ => Reached::ByAnotherLook,
        };
        Self {
            path,
            reached,
            about,
        }
    }

    /// The path by which it was opened.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// The path in words: its way from the working folder.
    pub(super) fn shown(&self) -> String {
        shown(&relative(&settle(Path::new(".")), &self.path))
    }

    /// What keeps it from being written, whatever text it has.
    fn may_be_written(&self) -> Result<(), Obstacle> {
        match (self.reached, &self.about) {
            (Reached::ByLink, _) => Err(Obstacle::new(
                format!(
                    "it is a link to {}, and links are not followed",
                    self.shown()
                ),
                "Change that file by hand, or put it where the link is.",
            )),
            (Reached::ByCatalogue, _) => Err(Obstacle::new(
                "it lies in a catalogue, and what becomes of other sites that read it is not judged",
                "Change it by hand, and check all sites that read it.",
            )),
            (Reached::ByAnotherLook, _) => Err(Obstacle::new(
                "its name holds signs that cannot be shown, so that others look like it",
                "Give it another name.",
            )),
            (Reached::Plainly, None) => Err(Obstacle::new(
                "what was judged is not saved",
                "Save it first.",
            )),
            (Reached::Plainly, Some(about)) => replaceable(about.clone()).map(drop),
        }
    }

    /// What the system says of the file now, if it is still the one that was read, with the same
    /// text.
    pub(super) fn still_is(&self, before: &[u8]) -> Result<Metadata, Obstacle> {
        self.may_be_written()?;
        let now = replaceable(self.path.symlink_metadata()?)?;
        let was = self.about.as_ref().map(identity);
        // A folder above it may have become a link.
        let is_in_place = self.path.canonicalize()? == self.path;
        let file = File::open(&self.path)?;
        if !is_in_place || was != Some(identity(&now)) || !is_at(&file, &self.path) {
            return Err(changed("another file stands there than was read"));
        }
        match read_within_limit(file) {
            Ok(text) if text == before => Ok(now),
            _ => Err(changed("it has changed since it was read")),
        }
    }
}

fn changed(why: &str) -> Obstacle {
    Obstacle::new(
        why,
        "Run it again: what stands there now is not judged yet.",
    )
}

fn has_replaced(name: &str) -> bool {
    name.contains(char::REPLACEMENT_CHARACTER)
}

/// The files of a site as they were read, by the name that each has there.
#[derive(Clone, Debug, Default)]
pub struct Originals(BTreeMap<String, Original>);

impl Originals {
    /// The file of this name.
    pub fn get(&self, name: &str) -> Option<&Original> {
        self.0.get(name)
    }

    /// Whether the file at a settled path is one of them.
    pub(in crate::host) fn has(&self, path: &Path) -> bool {
        self.0.values().any(|original| original.path == path)
    }

    /// The files that are never written, each with the reason and what to do.
    pub fn fixed(&self) -> BTreeMap<String, String> {
        let fixed = self.0.iter().filter_map(|(name, original)| {
            let obstacle = original.may_be_written().err()?;
            Some((
                name.clone(),
                format!("{}. {}", obstacle.why, obstacle.advice),
            ))
        });
        fixed.collect()
    }

    /// Takes away what killed runs left in the folders of these files.
    pub fn clear_leftovers(&self) {
        let folders = self
            .0
            .values()
            .filter_map(|original| original.path.parent());
        let folders: BTreeSet<&Path> = folders.collect();
        folders.into_iter().for_each(claim::clear);
    }
}

impl FromIterator<(String, Original)> for Originals {
    fn from_iter<I: IntoIterator<Item = (String, Original)>>(files: I) -> Self {
        Self(files.into_iter().collect())
    }
}
