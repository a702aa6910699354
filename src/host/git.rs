//! A site as it was at a revision, read from git's store without touching the work tree.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Seek, Write};
use std::path::{Component, Path, PathBuf};
use std::process::{Command, Stdio};

use crate::failure::Failure;
use crate::input::{FileGlobs, SITE_FILE, SiteInput, Unread};

use super::paths::shown;
use super::read::{FILE_LIMIT, note, too_long};
use super::sieve::Sieve;

/// Reads the site at `root` as it was at the revision `rev`, as [`super::read_site`] would have
/// read it then. `None` if there was no site there yet.
///
/// # Errors
/// `root` is not in a repository, the revision is not known, or git itself cannot be run.
pub fn read_site_at(
    rev: &str,
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
) -> Result<Option<SiteInput>, Failure> {
    let tree = Tree::at(rev, root)?;
    let Some(site_file) = tree.entries.get(SITE_FILE) else {
        return Ok(None);
    };
    let own = tree.read(&[(SITE_FILE, &site_file.id)])?;
    let globs = own
        .first()
        .map_or_else(FileGlobs::default, |(_, bytes)| globs_of(bytes));
    let (sieve, unread) = Sieve::new(&globs);
    tree.site(&sieve, unread).map(Some)
}

/// One entry of a tree.
struct Entry {
    kind: Kind,
    id: String,
    length: u64,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    File,
    Link,
}

/// Everything below a folder at one revision, by path.
struct Tree<'a> {
    folder: &'a Path,
    entries: BTreeMap<String, Entry>,
}

impl<'a> Tree<'a> {
    fn at(rev: &str, folder: &'a Path) -> Result<Self, Failure> {
        git(folder, &["rev-parse", "--git-dir"], Stdio::null())?;
        let wanted = format!("{rev}^{{commit}}");
        let verify = [
            "rev-parse",
            "--verify",
            "--quiet",
            "--end-of-options",
            &wanted,
        ];
        let commit = git(folder, &verify, Stdio::null()).map_err(|_| unknown(rev))?;
        let commit = String::from_utf8_lossy(&commit).trim().to_owned();
        // Run in a folder below the top, this lists that folder, by paths below it.
        let list = git(
            folder,
            &["ls-tree", "-r", "-l", "-z", &commit],
            Stdio::null(),
        )?;
        let entries = list.split(|&byte| byte == 0).filter_map(entry).collect();
        Ok(Self { folder, entries })
    }

    fn site(&self, sieve: &Sieve, mut unread: Vec<Unread>) -> Result<SiteInput, Failure> {
        let nested = self.nested_sites();
        let belongs = |path: &str| {
            let inner = nested.iter().any(|site| path.starts_with(site));
            !inner && sieve.takes_throughout(path)
        };
        let links = self.links(&belongs)?;
        let mut wanted = Vec::new();
        for (path, entry) in self.entries.iter().filter(|(path, _)| belongs(path)) {
            let file = match (entry.kind, links.get(path.as_str())) {
                (Kind::File, _) => Some(entry),
                (Kind::Link, Some(target)) if belongs(target) => continue,
                (Kind::Link, target) => target.and_then(|target| self.entries.get(target)),
            };
            match file {
                Some(file) if file.kind == Kind::File && file.length <= FILE_LIMIT => {
                    wanted.push((path.as_str(), file.id.as_str()));
                }
                Some(file) if file.kind == Kind::File => unread.push(note(path, too_long())),
                _ => unread.push(note(path, "a link that is not followed".to_owned())),
            }
        }
        let files = self.read(&wanted)?;
        Ok(SiteInput { files, unread })
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
        let links: Vec<(&str, &str)> = self
            .entries
            .iter()
            .filter(|(path, entry)| entry.kind == Kind::Link && belongs(path))
            .map(|(path, entry)| (path.as_str(), entry.id.as_str()))
            .collect();
        let targets = self.read(&links)?.into_iter().filter_map(|(path, target)| {
            let target = resolve(&path, &String::from_utf8_lossy(&target))?;
            Some((path, target))
        });
        Ok(targets.collect())
    }

    /// The bytes of objects, in the order asked for, each under its name.
    fn read(&self, wanted: &[(&str, impl AsRef<str>)]) -> Result<Vec<(String, Vec<u8>)>, Failure> {
        if wanted.is_empty() {
            return Ok(Vec::new());
        }
        let ids: String = wanted
            .iter()
            .map(|(_, id)| format!("{}\n", id.as_ref()))
            .collect();
        let list = in_a_file(&ids).map_err(|error| cannot_run(&error))?;
        let answer = git(self.folder, &["cat-file", "--batch"], list)?;
        let mut rest = answer.as_slice();
        let mut files = Vec::with_capacity(wanted.len());
        for (name, _) in wanted {
            let (bytes, after) = object(rest).ok_or_else(|| {
                Failure::new(format!("git could not read {name} as it was"))
                    .advise("Fetch the revision in full: a partial clone may lack it.")
            })?;
            files.push(((*name).to_owned(), bytes.to_owned()));
            rest = after;
        }
        Ok(files)
    }
}

/// `<mode> <type> <id> <length>\t<path>`; `None` for what is neither a file nor a link.
fn entry(line: &[u8]) -> Option<(String, Entry)> {
    let tab = line.iter().position(|&byte| byte == b'\t')?;
    let about = std::str::from_utf8(&line[..tab]).ok()?;
    let path = shown(Path::new(&*String::from_utf8_lossy(&line[tab + 1..])));
    let mut words = about.split_ascii_whitespace();
    let kind = match words.next()? {
        "120000" => Kind::Link,
        mode if mode.starts_with("100") => Kind::File,
        _ => return None,
    };
    let (id, length) = (words.nth(1)?.to_owned(), words.next()?.parse().ok()?);
    Some((path, Entry { kind, id, length }))
}

/// The first object of `cat-file --batch`'s answer, `<id> <type> <length>\n<bytes>\n`, and the rest.
fn object(answer: &[u8]) -> Option<(&[u8], &[u8])> {
    let end = answer.iter().position(|&byte| byte == b'\n')?;
    let head = std::str::from_utf8(&answer[..end]).ok()?;
    let length: usize = head.rsplit_once(' ')?.1.parse().ok()?;
    let (bytes, rest) = answer[end + 1..].split_at_checked(length)?;
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

/// As a file, because a pipe could fill at both ends.
fn in_a_file(text: &str) -> std::io::Result<Stdio> {
    let mut file = tempfile::tempfile()?;
    file.write_all(text.as_bytes())?;
    file.rewind()?;
    Ok(Stdio::from(file))
}

fn git(folder: &Path, arguments: &[&str], input: Stdio) -> Result<Vec<u8>, Failure> {
    let output = Command::new("git")
        .current_dir(folder)
        .args(arguments)
        .stdin(input)
        // A hook sets these for its own folder; here, git finds the repository from the site.
        .env_remove("GIT_DIR")
        .env_remove("GIT_WORK_TREE")
        .env_remove("GIT_INDEX_FILE")
        .env_remove("GIT_PREFIX")
        .env_remove("GIT_COMMON_DIR")
        .env("LC_ALL", "C")
        .output()
        .map_err(|error| cannot_run(&error))?;
    if output.status.success() {
        return Ok(output.stdout);
    }
    let said = String::from_utf8_lossy(&output.stderr);
    let first = said
        .lines()
        .next()
        .unwrap_or("")
        .trim_start_matches("fatal: ");
    let advice = match first.contains("dubious ownership") {
        true => format!(
            "Tell git that the folder may be trusted: git config --global --add safe.directory {}",
            folder.display()
        ),
        false => "Comparing needs the site to lie in a git repository.".to_owned(),
    };
    Err(Failure::new(format!("cannot compare: git says \"{first}\"")).advise(advice))
}

fn cannot_run(error: &std::io::Error) -> Failure {
    Failure::new(format!("cannot compare: git cannot be run: {error}"))
        .advise("Comparing reads the earlier state with git; install it, or leave out --compare.")
}

fn unknown(rev: &str) -> Failure {
    Failure::new(format!("cannot compare: git knows no revision \"{rev}\""))
        .advise("Name a branch, tag or commit; a shallow clone may have to be fetched in full.")
}

#[cfg(test)]
mod tests;
