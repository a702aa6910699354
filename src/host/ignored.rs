//! What lies in a repository and is no part of it: copies that git ignores, and other work trees.
//!
//! Only what is both untracked and ignored by a `.gitignore` of the tree is left out, as git itself
//! tells. What a user ignores for himself does not count, so that a site is the same for everybody.
//! Where git cannot be asked, nothing is left out.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use rustc_hash::FxHashSet;

use super::git::run::{
    LIST_LIMIT, Refusal, Repository, exactly, has_repository, path_of, top_above,
};
use super::paths::is_site;
use crate::input::{Reason, SITE_FILE};

/// What git ignores, asked once for every repository and kept: as long as this is kept, what is
/// ignored later is not noticed.
#[derive(Debug, Default)]
pub struct Ignored {
    all_files: bool,
    lists: Mutex<Vec<List>>,
}

/// What is ignored in a folder of a work tree.
#[derive(Clone, Debug)]
struct List {
    top: PathBuf,
    folder: PathBuf,
    paths: Arc<[PathBuf]>,
}

impl Ignored {
    /// Nothing is: all files count.
    pub fn nothing() -> Self {
        Self {
            all_files: true,
            lists: Mutex::default(),
        }
    }

    /// What is left out in the settled `folder`, for a walk that begins there.
    pub(super) fn within(&self, folder: &Path) -> Within<'_> {
        let mut within = Within {
            ignored: self,
            tops: Vec::new(),
            paths: FxHashSet::default(),
        };
        if let Some(top) = top_above(folder).filter(|_| !self.all_files) {
            within.enter(top, folder);
        }
        within
    }

    /// What is ignored in `folder` of the work tree at `top`. Nothing, if all of the folder is:
    /// then it was named on purpose.
    fn list(&self, top: &Path, folder: &Path) -> Vec<PathBuf> {
        let mut lists = self.lists.lock().unwrap_or_else(PoisonError::into_inner);
        let known = lists
            .iter()
            .find(|list| list.top == top && folder.starts_with(&list.folder));
        let paths = match known {
            Some(list) => Arc::clone(&list.paths),
            None => {
                // Where git does not answer, more is read, not less.
                let paths: Arc<[PathBuf]> = ask(top, folder).unwrap_or_default().into();
                lists.push(List {
                    top: top.to_owned(),
                    folder: folder.to_owned(),
                    paths: Arc::clone(&paths),
                });
                paths
            }
        };
        match paths.iter().any(|path| folder.starts_with(path)) {
            true => Vec::new(),
            false => paths
                .iter()
                .filter(|path| path.starts_with(folder))
                .cloned()
                .collect(),
        }
    }
}

fn ask(top: &Path, folder: &Path) -> Result<Vec<PathBuf>, Refusal> {
    let repository = Repository::around(top)?;
    let folder = exactly(&repository.below(folder));
    let words = "ls-files -z --others --ignored --exclude-per-directory=.gitignore --directory --";
    let words = words.split(' ').map(OsStr::new).chain([&*folder]);
    let list = repository.ask(words, LIST_LIMIT)?;
    let paths = list
        .split(|&byte| byte == 0)
        .filter(|path| !path.is_empty());
    Ok(paths.map(|path| top.join(path_of(path))).collect())
}

/// Whether the work tree at `top` has `folder` for a submodule, or tracks files in it.
fn tracks(top: &Path, folder: &Path) -> bool {
    let asked = Repository::around(top).and_then(|repository| {
        let folder = exactly(&repository.below(folder));
        let words = ["ls-files", "-z", "--cached", "--"].map(OsStr::new);
        repository.ask(words.into_iter().chain([&*folder]), 1)
    });
    // One byte is enough to know; where git does not answer, more is read, not less.
    asked.map_or(true, |list| !list.is_empty())
}

/// What is left out in one folder, as far as a walk has come.
pub(super) struct Within<'a> {
    ignored: &'a Ignored,
    /// The work trees that the walk is or was in.
    tops: Vec<PathBuf>,
    /// What is left out in them.
    paths: FxHashSet<PathBuf>,
}

impl Within<'_> {
    fn enter(&mut self, top: &Path, folder: &Path) {
        self.tops.push(top.to_owned());
        self.paths.extend(self.ignored.list(top, folder));
    }

    /// Why the folder or file that the walk meets at `path` is passed over, if it is. The folders
    /// above it must have been met before.
    pub(super) fn why_not(&mut self, path: &Path, is_folder: bool) -> Option<Reason> {
        if self.ignored.all_files {
            return None;
        }
        if self.paths.contains(path) {
            return Some(Reason::Ignored);
        }
        if !is_folder || !has_repository(path) {
            return None;
        }
        let around = self.tops.iter().filter(|top| path.starts_with(top));
        let around = around.max_by_key(|top| top.as_os_str().len());
        if around.is_some_and(|around| !tracks(around, path)) {
            self.paths.insert(path.to_owned());
            return Some(Reason::WorkTree);
        }
        self.enter(path, path);
        None
    }

    /// Whether what is at `path` is left out, or lies in what is.
    pub(super) fn leaves_out(&self, path: &Path) -> bool {
        !self.paths.is_empty() && path.ancestors().any(|up| self.paths.contains(up))
    }

    /// Whether `folder` is the root of a site that a walk finds.
    pub(super) fn is_site(&self, folder: &Path) -> bool {
        is_site(folder) && !self.leaves_out(&folder.join(SITE_FILE))
    }

    /// Whether a site of its own lies at or above `below`, but below `root`.
    pub(super) fn in_nested_site(&self, root: &Path, below: &Path) -> bool {
        let folders = below
            .ancestors()
            .filter(|folder| !folder.as_os_str().is_empty());
        folders
            .into_iter()
            .any(|folder| self.is_site(&root.join(folder)))
    }

    /// Whether a walk that begins at `root` comes to `folder` below it.
    pub(super) fn reaches(&mut self, root: &Path, folder: &Path) -> bool {
        let mut way: Vec<&Path> = folder.ancestors().take_while(|up| *up != root).collect();
        way.reverse();
        way.into_iter()
            .all(|folder| self.why_not(folder, true).is_none())
    }
}

#[cfg(test)]
mod tests;
