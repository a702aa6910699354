//! A folder as it was at a commit: its files by name, and the site that they made.

use std::collections::btree_map::Entry as Slot;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

use super::run::{LIST_LIMIT, Repository, exactly, has_repository, path_of};
use super::{cannot_compare, lacking};
use crate::failure::Failure;
use crate::host::paths::{is_site, shown};
use crate::host::read::{FILE_LIMIT, SHOWN_ALIKE, note, too_long};
use crate::host::site_paths::SitePaths;
use crate::input::{SITE_FILE, SiteInput, Unread};

/// The files of a site at a commit may have this many bytes together (256 MiB), thirty times a site
/// of a thousand racks: the same bytes can stand in a tree any number of times.
const CONTENT_LIMIT: u64 = 256 << 20;
/// What git says of an object before its bytes, at most.
const HEAD_LIMIT: u64 = 200;

/// One entry of a tree.
pub(super) struct Entry {
    kind: Kind,
    id: String,
    /// `None` if the object is not there.
    length: Option<u64>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    File,
    Link,
    Submodule,
}

/// Everything below a folder at one commit, by path.
pub(super) struct Tree<'a> {
    repository: &'a Repository,
    entries: BTreeMap<String, Entry>,
    /// Paths that more than one entry has when shown.
    alike: BTreeSet<String>,
}

impl Entry {
    fn is_long(&self) -> bool {
        self.length.is_some_and(|length| length > FILE_LIMIT)
    }
}

impl<'a> Tree<'a> {
    /// The tree of the folder `below` the top at `commit`; `None` if there was no such folder.
    pub(super) fn at(
        repository: &'a Repository,
        commit: &str,
        below: &OsStr,
    ) -> Result<Option<Self>, Failure> {
        let Some(tree) = id_of(repository, commit, below)? else {
            return Ok(None);
        };
        let words = ["ls-tree", "-r", "-l", "-z", "--full-tree", &tree];
        let list = repository.ask(words, LIST_LIMIT).map_err(cannot_compare)?;
        let (mut entries, mut alike) = (BTreeMap::new(), BTreeSet::new());
        for (path, entry) in list.split(|&byte| byte == 0).filter_map(entry) {
            match entries.entry(path) {
                Slot::Vacant(slot) => {
                    slot.insert(entry);
                }
                Slot::Occupied(slot) => {
                    alike.insert(slot.key().clone());
                }
            }
        }
        Ok(Some(Self {
            repository,
            entries,
            alike,
        }))
    }

    /// Whether there was a folder `below` the top at `commit`.
    pub(super) fn is_at(
        repository: &Repository,
        commit: &str,
        below: &OsStr,
    ) -> Result<bool, Failure> {
        Ok(id_of(repository, commit, below)?.is_some())
    }

    /// The bytes of the site's own file, if there was one; of what a link leads to, if that was
    /// in the site, else none.
    pub(super) fn site_file(&self) -> Result<Option<Vec<u8>>, Failure> {
        let Some(entry) = self.entries.get(SITE_FILE) else {
            return Ok(None);
        };
        let links = self.links(&|path| path == SITE_FILE)?;
        let file = match entry.kind {
            Kind::File => Some(entry),
            _ => links
                .get(SITE_FILE)
                .and_then(|target| self.entries.get(target)),
        };
        let file = file.filter(|file| file.kind == Kind::File && !file.is_long());
        let file = file
            .map(|file| self.read(&[(SITE_FILE, file)]))
            .transpose()?;
        let bytes = file.into_iter().flatten().next().map(|(_, bytes)| bytes);
        Ok(Some(bytes.unwrap_or_default()))
    }

    /// The site of which this was the folder; `today` is where it is now.
    pub(super) fn site(
        &self,
        site_paths: &SitePaths,
        mut unread: Vec<Unread>,
        today: &Path,
    ) -> Result<SiteInput, Failure> {
        let nested = self.nested_sites();
        let belongs = |path: &str| {
            let inner = nested.iter().any(|site| path.starts_with(site));
            !inner && site_paths.takes_throughout(path)
        };
        let alike = self.alike.iter().filter(|path| belongs(path));
        unread.extend(alike.map(|path| note(path, SHOWN_ALIKE.to_owned())));
        let links = self.links(&belongs)?;
        let mut wanted = Vec::new();
        for (path, entry) in self.entries.iter().filter(|(path, _)| belongs(path)) {
            let file = match (entry.kind, links.get(path.as_str())) {
                (Kind::File, _) => Some(entry),
                (Kind::Submodule, _) => continue,
                (Kind::Link, Some(target)) if belongs(target) => continue,
                (Kind::Link, target) => target.and_then(|target| self.entries.get(target)),
            };
            match file {
                Some(file) if file.is_long() => unread.push(note(path, too_long())),
                Some(file) if file.kind == Kind::File => wanted.push((path.as_str(), file)),
                _ => unread.push(note(path, "a link that is not followed".to_owned())),
            }
        }
        for (path, _) in self
            .entries
            .iter()
            .filter(|(_, e)| e.kind == Kind::Submodule)
        {
            let folder = today.join(path);
            let inner = nested.iter().any(|site| path.starts_with(site)) || is_site(&folder);
            if !inner && site_paths.reaches(path) && has_repository(&folder) {
                let why = "a submodule: what was in it then is not kept here";
                unread.push(note(path, why.to_owned()));
            }
        }
        unread.sort();
        let files = self.read(&wanted)?;
        let is_outer = |path: &&String| !nested.iter().any(|site| path.starts_with(site));
        let outer = self.entries.keys().filter(is_outer);
        let passed_over: BTreeSet<_> = outer
            .filter_map(|path| site_paths.keeps_out(path))
            .collect();
        Ok(SiteInput {
            files,
            unread,
            passed_over: passed_over.into_iter().collect(),
        })
    }

    /// Folders, each with a slash at its end, that are sites of their own.
    fn nested_sites(&self) -> BTreeSet<&str> {
        let site = |path: &'_ String| path.ends_with(&format!("/{SITE_FILE}"));
        let folders = self.entries.keys().filter(|path| site(path));
        folders
            .map(|path| &path[..path.len() - SITE_FILE.len()])
            .collect()
    }

    /// The paths that the site's links name.
    fn links(&self, belongs: &dyn Fn(&str) -> bool) -> Result<BTreeMap<String, String>, Failure> {
        let links: Vec<(&str, &Entry)> = self
            .entries
            .iter()
            .filter(|(path, entry)| entry.kind == Kind::Link && belongs(path))
            .map(|(path, entry)| (path.as_str(), entry))
            .collect();
        let targets = self.read(&links)?.into_iter().filter_map(|(path, target)| {
            let target = resolve(&path, &String::from_utf8_lossy(&target))?;
            Some((path, target))
        });
        Ok(targets.collect())
    }

    /// The bytes of files and links, in the order asked for, each under its name.
    fn read(&self, wanted: &[(&str, &Entry)]) -> Result<Vec<(String, Vec<u8>)>, Failure> {
        let mut total = 0_u64;
        for (name, entry) in wanted {
            total = total.saturating_add(entry.length.ok_or_else(|| lacking(name))?);
        }
        if total > CONTENT_LIMIT {
            return Err(too_much());
        }
        let ids = wanted.iter().map(|(name, entry)| (*name, &*entry.id));
        let ids: Vec<(&str, &str)> = ids.collect();
        objects(self.repository, &ids, total)
    }
}

/// The id of the tree of the folder `below` the top; `None` if there was no folder.
fn id_of(repository: &Repository, commit: &str, below: &OsStr) -> Result<Option<String>, Failure> {
    if below == "." {
        return Ok(Some(commit.to_owned()));
    }
    let folder = exactly(below);
    let words = ["ls-tree", "-z", "--full-tree", commit, "--"].map(OsStr::new);
    let words = words.into_iter().chain([folder.as_os_str()]);
    let list = repository.ask(words, LIST_LIMIT).map_err(cannot_compare)?;
    let about = String::from_utf8_lossy(&list);
    let mut words = about.split_ascii_whitespace();
    let is_folder = words.next() == Some("040000") && words.next() == Some("tree");
    Ok(words.next().filter(|_| is_folder).map(str::to_owned))
}

/// The bytes of objects, which have `total` bytes at most together, each under its name.
pub(super) fn objects(
    repository: &Repository,
    wanted: &[(&str, &str)],
    total: u64,
) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    if wanted.is_empty() {
        return Ok(Vec::new());
    }
    let ids: String = wanted.iter().map(|(_, id)| format!("{id}\n")).collect();
    let limit = total + HEAD_LIMIT * wanted.len() as u64;
    let answer = repository.ask_with(["cat-file", "--batch"], &ids, limit);
    let answer = answer.map_err(cannot_compare)?;
    let mut rest = answer.as_slice();
    let mut files = Vec::with_capacity(wanted.len());
    for (name, id) in wanted {
        let (bytes, after) = object(rest, id).ok_or_else(|| lacking(name))?;
        files.push(((*name).to_owned(), bytes.to_owned()));
        rest = after;
    }
    Ok(files)
}

/// `<mode> <type> <id> <length>\t<path>`; `None` for the last, empty line.
fn entry(line: &[u8]) -> Option<(String, Entry)> {
    let tab = line.iter().position(|&byte| byte == b'\t')?;
    let about = std::str::from_utf8(&line[..tab]).ok()?;
    let path = shown(&path_of(&line[tab + 1..]));
    let mut words = about.split_ascii_whitespace();
    let kind = match words.next()? {
        "120000" => Kind::Link,
        "160000" => Kind::Submodule,
        mode if mode.starts_with("100") => Kind::File,
        _ => return None,
    };
    let (id, length) = (words.nth(1)?.to_owned(), words.next()?.parse().ok());
    Some((path, Entry { kind, id, length }))
}

/// The first object of `cat-file --batch`'s answer, `<id> blob <length>\n<bytes>\n`, and the rest;
/// `None` if it is not there, or another.
fn object<'a>(answer: &'a [u8], id: &str) -> Option<(&'a [u8], &'a [u8])> {
    let end = answer.iter().position(|&byte| byte == b'\n')?;
    let head = std::str::from_utf8(&answer[..end]).ok()?;
    let length = head.strip_prefix(id)?.strip_prefix(" blob ")?;
    let (bytes, rest) = answer[end + 1..].split_at_checked(length.parse().ok()?)?;
    Some((bytes, rest.get(1..)?))
}

/// Where a link at `link` leads by its text alone; `None` if out of the site.
fn resolve(link: &str, target: &str) -> Option<String> {
    let mut path = PathBuf::from(link);
    path.pop();
    for part in Path::new(target).components() {
        match part {
            Component::Normal(name) => path.push(name),
            Component::ParentDir if path.pop() => {}
            Component::CurDir => {}
            _ => return None,
        }
    }
    Some(shown(&path))
}

fn too_much() -> Failure {
    let most = CONTENT_LIMIT >> 20;
    let what =
        format!("cannot compare: the files of that time are longer than {most} MiB together");
    Failure::new(what).advise("That is the most that is read of a revision. Name another one.")
}
