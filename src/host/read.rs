//! Reading a site: every file that belongs to it, and a note for each that could not be read.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{File, Metadata};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use walkdir::{DirEntry, WalkDir};

use super::catalogues;
use super::ignored::{Ignored, Within};
use super::links::{Lead, follow};
use super::overlay::Overlay;
use super::paths::{settle, shown};
use super::site_paths::SitePaths;
use super::write::{Original, Originals};
use crate::input::{FileGlobs, PassedOver, Reason, SITE_FILE, SNAG_FILE, SiteInput, Unread};

/// Files above this many bytes (64 MiB) are not read: no definition is that long.
pub const FILE_LIMIT: u64 = 64 << 20;

/// Reads the site at `root`, with `overlay` over the files on disk and without what is `ignored`.
/// `globs_of` finds `site.files` in the bytes of the site's own file.
pub fn read_site(
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    overlay: &Overlay,
    ignored: &Ignored,
) -> SiteInput {
    read_with_originals(root, globs_of, overlay, ignored).0
}

/// As [`read_site`], with the files from which the texts came, for whoever is to write them anew.
pub fn read_site_to_write(
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    ignored: &Ignored,
) -> (SiteInput, Originals) {
    read_with_originals(root, globs_of, &Overlay::default(), ignored)
}

fn read_with_originals(
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    overlay: &Overlay,
    ignored: &Ignored,
) -> (SiteInput, Originals) {
    let root = settle(root);
    let site_file = site_file(&root, overlay);
    let globs = match &site_file {
        Ok(bytes) => globs_of(bytes),
        Err(_) => FileGlobs::default(),
    };
    let (site_paths, notes) = SitePaths::new(&globs);
    let mut met = Met::below(&root, (&site_paths, LEAVE_OUT), overlay, ignored);
    let (catalogues, not_read) = catalogues::of_site(&root, &globs.catalogues, ignored);
    met.passed_over.extend(not_read);
    if !catalogues.is_empty() {
        let (all, _) = SitePaths::new(&FileGlobs::default());
        for catalogue in catalogues {
            let of_catalogue = Met::below(&catalogue.folder, (&all, ""), overlay, ignored);
            met.join(of_catalogue.behind(&catalogue.way));
        }
    }
    let Met {
        mut files,
        mut unread,
        passed_over,
    } = met;
    if let Err(why) = site_file {
        files.remove(SITE_FILE);
        unread.retain(|note| note.path != SITE_FILE);
        unread.push(note(SITE_FILE, why));
    }
    unread.extend(notes);
    let read: Vec<_> = files
        .into_par_iter()
        .map(|(name, path)| match bytes_of(&path, overlay) {
            Ok((bytes, about)) => {
                let original = Original::new(&root, &name, path, about);
                Ok((name, bytes, original))
            }
            Err(why) => Err(note(&name, why)),
        })
        .collect();
    gather(read, unread, passed_over)
}

/// The name of a file, its bytes, and which file it was.
type FileRead = (String, Vec<u8>, Original);

/// The files and notes in order: neither the folder's order nor the threads' may show.
fn gather(
    read: Vec<Result<FileRead, Unread>>,
    unread: Vec<Unread>,
    passed_over: Vec<PassedOver>,
) -> (SiteInput, Originals) {
    let mut input = SiteInput {
        files: Vec::with_capacity(read.len()),
        unread,
        passed_over,
    };
    let mut originals = Vec::with_capacity(read.len());
    for file in read {
        match file {
            Ok((name, bytes, original)) => {
                originals.push((name.clone(), original));
                input.files.push((name, bytes));
            }
            Err(note) => input.unread.push(note),
        }
    }
    input.files.sort_by(|a, b| a.0.cmp(&b.0));
    input.unread.sort();
    input.unread.dedup();
    input.passed_over.sort();
    (input, originals.into_iter().collect())
}

/// The site's own file, if it lies inside the site.
pub(super) fn site_file(root: &Path, overlay: &Overlay) -> Result<Vec<u8>, String> {
    let path = root.join(SITE_FILE);
    if overlay.get(&path).is_none() && path.is_symlink() {
        let target = path.canonicalize().map_err(|error| words(&error))?;
        return match target.starts_with(root) {
            true => bytes_on_disk(&target).map(|(bytes, _)| bytes),
            false => Err("a link to a file outside the site".to_owned()),
        };
    }
    bytes_of(&path, overlay).map(|(bytes, _)| bytes)
}

/// Real paths of the site's files, by the name shown.
type Files = BTreeMap<String, PathBuf>;

/// What can be done in a site about a link that is not followed.
const LEAVE_OUT: &str = "; site.files.leave-out can leave it out";

/// What was met in a folder and those below it.
struct Met {
    files: Files,
    /// What cannot be reached.
    unread: Vec<Unread>,
    passed_over: Vec<PassedOver>,
}

impl Met {
    fn below(
        root: &Path,
        (site_paths, way_out): (&SitePaths, &'static str),
        overlay: &Overlay,
        ignored: &Ignored,
    ) -> Self {
        let mut walk = Walk {
            root,
            site_paths,
            within: ignored.within(root),
            way_out,
            files: Files::new(),
            unread: Vec::new(),
            passed_over: Vec::new(),
        };
        walk.through();
        let laid_over = walk.lay_over(overlay);
        let is_lost = |note: &Unread| !laid_over.contains(&note.path) || note.why == SHOWN_ALIKE;
        walk.unread.retain(is_lost);
        Self {
            files: walk.files,
            unread: walk.unread,
            passed_over: walk.passed_over,
        }
    }

    /// The same in a catalogue, by paths from the site that it is read with.
    fn behind(self, way: &str) -> Self {
        let behind = |path: String| format!("{way}/{path}");
        let files = self.files.into_iter();
        // What a site keeps beside its own file is no part of a catalogue.
        let files = files.filter(|(path, _)| path != SNAG_FILE);
        let unread = self.unread.into_iter().map(|one| Unread {
            path: behind(one.path),
            ..one
        });
        let passed_over = self.passed_over.into_iter().map(|one| PassedOver {
            path: behind(one.path),
            ..one
        });
        Self {
            files: files.map(|(path, real)| (behind(path), real)).collect(),
            unread: unread.collect(),
            passed_over: passed_over.collect(),
        }
    }

    fn join(&mut self, other: Self) {
        self.files.extend(other.files);
        self.unread.extend(other.unread);
        self.passed_over.extend(other.passed_over);
    }
}

/// A walk through the site's folders, or those of a catalogue.
struct Walk<'a> {
    root: &'a Path,
    site_paths: &'a SitePaths,
    within: Within<'a>,
    /// What can be done about a link that is not followed.
    way_out: &'static str,
    files: Files,
    /// What of the site cannot be reached.
    unread: Vec<Unread>,
    passed_over: Vec<PassedOver>,
}

impl Walk<'_> {
    fn through(&mut self) {
        let mut links = Vec::new();
        let mut walk = WalkDir::new(self.root)
            .min_depth(1)
            .sort_by_file_name()
            .into_iter();
        while let Some(entry) = walk.next() {
            match entry {
                Ok(entry) if entry.file_type().is_dir() => {
                    if !self.enters(&entry) {
                        walk.skip_current_dir();
                    }
                }
                Ok(entry) if entry.file_type().is_symlink() => links.push(entry),
                Ok(entry) => self.meet_file(&entry),
                Err(error) => {
                    let name = name_of(self.root, error.path().unwrap_or(self.root));
                    self.unread.push(note(&name, walk_words(&error)));
                }
            }
        }
        // Only now is it known what is left out, and so what they lead to.
        links.iter().for_each(|link| self.meet_link(link));
    }

    fn enters(&mut self, folder: &DirEntry) -> bool {
        let (name, path) = (name_of(self.root, folder.path()), folder.path());
        let nested = || self.within.is_site(path).then_some(Reason::NestedSite);
        let shut = self.site_paths.shuts(&name).or_else(nested);
        let shut = shut.or_else(|| self.within.why_not(path, true));
        !self.passes_over(name + "/", shut)
    }

    fn meet_file(&mut self, file: &DirEntry) {
        let (name, path) = (name_of(self.root, file.path()), file.path());
        let refused = self.site_paths.refuses(&name);
        let refused = refused.or_else(|| self.ignores(path, &name));
        if !self.passes_over(name.clone(), refused) {
            self.add(name, path.to_owned());
        }
    }

    fn meet_link(&mut self, link: &DirEntry) {
        let (name, path) = (name_of(self.root, link.path()), link.path());
        let below = path.strip_prefix(self.root).unwrap_or(path);
        let lead = follow(self.root, below, &name, self.site_paths, &self.within);
        let lead = match (lead, self.ignores(path, &name)) {
            (Lead::PassOver(why), _) | (_, Some(why)) => Lead::PassOver(why),
            (lead, None) => lead,
        };
        match lead {
            Lead::PassOver(why) => drop(self.passes_over(name, Some(why))),
            Lead::File(target) => self.add(name, target),
            Lead::Lost(why) => self.unread.push(note(&name, why + self.way_out)),
        }
    }

    /// Why git has the file at `path` left out, if it has; the site's own file never is.
    fn ignores(&mut self, path: &Path, name: &str) -> Option<Reason> {
        let why = self.within.why_not(path, false);
        why.filter(|_| name != SITE_FILE)
    }

    /// Notes what is passed over, if there is a reason.
    fn passes_over(&mut self, path: String, why: Option<Reason>) -> bool {
        let is_out = why.is_some();
        let passed_over = why.map(|why| PassedOver { path, why });
        self.passed_over.extend(passed_over);
        is_out
    }

    fn add(&mut self, name: String, path: PathBuf) {
        match self.files.entry(name) {
            Entry::Vacant(entry) => {
                entry.insert(path);
            }
            // Findings could not tell the two apart.
            Entry::Occupied(entry) => {
                self.unread.push(note(entry.key(), SHOWN_ALIKE.to_owned()));
            }
        }
    }

    /// Adds what the overlay holds of the site, whether or not it is on disk, and names it.
    fn lay_over(&mut self, overlay: &Overlay) -> BTreeSet<String> {
        let mut laid_over = BTreeSet::new();
        for (below, _) in overlay.below(self.root) {
            let (name, path) = (shown(below), self.root.join(below));
            let folder = below.parent();
            let nested = folder.is_some_and(|up| self.within.in_nested_site(self.root, up));
            let out = name != SITE_FILE && self.within.leaves_out(&path);
            if self.site_paths.takes_throughout(&name) && !nested && !out {
                self.files.insert(name.clone(), path);
                laid_over.insert(name);
            }
        }
        laid_over
    }
}

pub(super) const SHOWN_ALIKE: &str =
    "another file's name looks the same when shown; rename one of them";

pub(super) fn note(path: &str, why: String) -> Unread {
    Unread {
        path: path.to_owned(),
        why,
    }
}

fn name_of(root: &Path, path: &Path) -> String {
    shown(path.strip_prefix(root).unwrap_or(path))
}

/// The bytes of a file, and what the system says of it; nothing where a buffer stands for it.
fn bytes_of(path: &Path, overlay: &Overlay) -> Result<(Vec<u8>, Option<Metadata>), String> {
    match overlay.get(path) {
        Some(bytes) => Ok((bytes.to_owned(), None)),
        None => bytes_on_disk(path),
    }
}

/// The bytes of an ordinary file that is not too long, and what the system says of it.
pub(super) fn bytes_on_disk(path: &Path) -> Result<(Vec<u8>, Option<Metadata>), String> {
    let about = path.metadata().map_err(|error| words(&error))?;
    // Asked before it is opened: opening a pipe would wait for ever.
    if !about.is_file() {
        return Err("not an ordinary file".to_owned());
    }
    let file = File::open(path).map_err(|error| words(&error))?;
    let about = file.metadata().map_err(|error| words(&error))?;
    Ok((read_within_limit(file)?, Some(about)))
}

/// All bytes of `from`, unless there are more than [`FILE_LIMIT`] of them.
pub(super) fn read_within_limit(from: impl Read) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let read = from.take(FILE_LIMIT + 1).read_to_end(&mut bytes);
    let length = read.map_err(|error| words(&error))?;
    if length as u64 > FILE_LIMIT {
        return Err(too_long());
    }
    Ok(bytes)
}

pub(super) fn too_long() -> String {
    format!(
        "longer than {} MiB, the most that is read",
        FILE_LIMIT >> 20
    )
}

/// What the system says, in words that are the same on every system where that can be.
pub(super) fn words(error: &io::Error) -> String {
    match error.kind() {
        ErrorKind::PermissionDenied => "no permission".to_owned(),
        ErrorKind::NotFound => "it is not there, or no longer".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "nothing can be written there".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::FileTooLarge => "it would be larger than a file may be".to_owned(),
        _ => error.to_string(),
    }
}

fn walk_words(error: &walkdir::Error) -> String {
    error.io_error().map_or_else(|| error.to_string(), words)
}

#[cfg(test)]
mod tests;
