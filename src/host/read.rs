//! Reading a site: every file that belongs to it, and a note for each that could not be read.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{File, Metadata};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use walkdir::{DirEntry, WalkDir};

use super::links::{Lead, follow};
use super::overlay::Overlay;
use super::paths::{in_nested_site, is_site, settle, shown};
use super::sieve::Sieve;
use super::write::{Original, Originals};
use crate::input::{FileGlobs, SITE_FILE, SiteInput, Unread};

/// Files above this many bytes (64 MiB) are not read: no definition is that long.
pub const FILE_LIMIT: u64 = 64 << 20;

/// Reads the site at `root`, with `overlay` over the files on disk. `globs_of` finds `site.files`
/// in the bytes of the site's own file.
pub fn read_site(
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    overlay: &Overlay,
) -> SiteInput {
    read_with_originals(root, globs_of, overlay).0
}

/// As [`read_site`], with the files from which the texts came, for whoever is to write them anew.
pub fn read_site_to_write(
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
) -> (SiteInput, Originals) {
    read_with_originals(root, globs_of, &Overlay::default())
}

fn read_with_originals(
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    overlay: &Overlay,
) -> (SiteInput, Originals) {
    let root = settle(root);
    let site_file = site_file(&root, overlay);
    let globs = match &site_file {
        Ok(bytes) => globs_of(bytes),
        Err(_) => FileGlobs::default(),
    };
    let (sieve, notes) = Sieve::new(&globs);
    let (mut files, mut unread) = walk(&root, &sieve);
    let laid_over = lay_over(&root, overlay, &sieve, &mut files);
    unread.retain(|note| !laid_over.contains(&note.path) || note.why == SHOWN_ALIKE);
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
    gather(read, unread)
}

/// Adds what the overlay holds of the site, whether or not it is on disk, and names it.
fn lay_over(root: &Path, overlay: &Overlay, sieve: &Sieve, files: &mut Files) -> BTreeSet<String> {
    let mut laid_over = BTreeSet::new();
    for (below, _) in overlay.below(root) {
        let name = shown(below);
        let nested = below.parent().is_some_and(|up| in_nested_site(root, up));
        if sieve.takes_throughout(&name) && !nested {
            files.insert(name.clone(), root.join(below));
            laid_over.insert(name);
        }
    }
    laid_over
}

/// The name of a file, its bytes, and which file it was.
type FileRead = (String, Vec<u8>, Original);

/// The files and notes in order: neither the folder's order nor the threads' may show.
fn gather(read: Vec<Result<FileRead, Unread>>, unread: Vec<Unread>) -> (SiteInput, Originals) {
    let mut input = SiteInput {
        files: Vec::with_capacity(read.len()),
        unread,
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
    (input, originals.into_iter().collect())
}

/// The site's own file, if it lies inside the site.
fn site_file(root: &Path, overlay: &Overlay) -> Result<Vec<u8>, String> {
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

/// The site's files on disk, and what of it cannot be reached.
fn walk(root: &Path, sieve: &Sieve) -> (Files, Vec<Unread>) {
    let stays = |entry: &DirEntry| {
        let folder = entry.file_type().is_dir();
        !folder || sieve.enters(&name_of(root, entry.path())) && !is_site(entry.path())
    };
    let entries = WalkDir::new(root)
        .min_depth(1)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(stays);
    let (mut files, mut unread) = (Files::new(), Vec::new());
    for entry in entries {
        let path = match &entry {
            Ok(entry) => entry.path(),
            Err(error) => error.path().unwrap_or(root),
        };
        let name = name_of(root, path);
        let found = entry
            .map_err(|error| walk_words(&error))
            .and_then(|entry| belonging(root, &entry, &name, sieve));
        let why = match found {
            Ok(None) => continue,
            // Findings could not tell the two apart.
            Ok(Some(_)) if files.contains_key(&name) => SHOWN_ALIKE.to_owned(),
            Ok(Some(path)) => {
                files.insert(name, path);
                continue;
            }
            Err(why) => why,
        };
        unread.push(note(&name, why));
    }
    (files, unread)
}

const SHOWN_ALIKE: &str = "another file's name looks the same when shown; rename one of them";

pub(super) fn note(path: &str, why: String) -> Unread {
    Unread {
        path: path.to_owned(),
        why,
    }
}

fn name_of(root: &Path, path: &Path) -> String {
    shown(path.strip_prefix(root).unwrap_or(path))
}

/// Where to read the entry's bytes, if it is a file of the site.
fn belonging(
    root: &Path,
    entry: &DirEntry,
    name: &str,
    sieve: &Sieve,
) -> Result<Option<PathBuf>, String> {
    let kind = entry.file_type();
    if kind.is_symlink() {
        let below = entry.path().strip_prefix(root).unwrap_or(entry.path());
        return match follow(root, below, name, sieve) {
            Lead::PassOver => Ok(None),
            Lead::File(target) => Ok(Some(target)),
            Lead::Lost(why) => Err(why),
        };
    }
    let taken = !kind.is_dir() && sieve.takes(name);
    Ok(taken.then(|| entry.path().to_owned()))
}

/// The bytes of a file, and what the system says of it; nothing where a buffer stands for it.
fn bytes_of(path: &Path, overlay: &Overlay) -> Result<(Vec<u8>, Option<Metadata>), String> {
    match overlay.get(path) {
        Some(bytes) => Ok((bytes.to_owned(), None)),
        None => bytes_on_disk(path),
    }
}

fn bytes_on_disk(path: &Path) -> Result<(Vec<u8>, Option<Metadata>), String> {
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
