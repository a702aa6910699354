//! Where a site lay at a commit: in its own folder, or in the one that it was moved from.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::{OsStr, OsString};
use std::path::Path;

use super::cannot_compare;
use super::run::{LIST_LIMIT, Refusal, Repository, path_of};
use super::tree::objects;
use crate::failure::Failure;
use crate::host::paths::is_site;
use crate::host::read::{FILE_LIMIT, bytes_on_disk};
use crate::input::SITE_FILE;

/// Own files of sites, wherever they lie.
const SITE_FILES: &str = ":(glob)**/cordwright.yaml";

/// The folders below the top from which the site in the folder `own`, which was none at `commit`,
/// may have been moved; several if it cannot be told which.
///
/// A site that was there and is gone is the same site if git takes its own file for renamed, or if
/// it alone had the name of this one. Where the two disagree, or another new site has as good a
/// claim, nothing is decided: a wrong base would let faults pass as old ones.
pub(super) fn moved_from(
    repository: &Repository,
    commit: &str,
    own: &OsStr,
    name_of: &dyn Fn(&[u8]) -> Option<String>,
) -> Result<Vec<OsString>, Failure> {
    let then = sites_at(repository, commit)?;
    let today = sites_today(repository)?;
    let gone: BTreeMap<&OsStr, &str> = then
        .iter()
        .filter(|(place, _)| !today.contains(*place))
        .map(|(place, id)| (place.as_os_str(), id.as_str()))
        .collect();
    if gone.is_empty() {
        return Ok(Vec::new());
    }
    let renamed = renamed_from(repository, commit, own)?;
    let renamed = renamed.filter(|place| gone.contains_key(place.as_os_str()));
    let name = |site: &OsStr| name_today(repository, site, name_of);
    let called = name(own);
    let is_new = |site: &OsStr| !then.contains_key(site) && site != own;
    let mut new = today.iter().filter(|site| is_new(site));
    let named = match &called {
        // Another new site of that name might be the one as well.
        Some(_) if new.any(|site| name(site) == called) => Vec::new(),
        Some(called) => bearing(repository, &gone, called, name_of)?,
        None => Vec::new(),
    };
    Ok(agreed(renamed, named, &gone))
}

/// The folders below `own` in which sites lay at `commit`, and in which there are none today.
pub(super) fn gone_below(
    repository: &Repository,
    commit: &str,
    own: &OsStr,
) -> Result<Vec<OsString>, Failure> {
    let then = sites_at(repository, commit)?;
    let is_gone = |place: &&OsString| {
        let is_below = own == "." || Path::new(place).starts_with(own);
        is_below && !is_site(&repository.top().join(place))
    };
    Ok(then.keys().filter(is_gone).cloned().collect())
}

/// What the two ways of knowing a site again say together.
fn agreed(
    renamed: Option<OsString>,
    named: Vec<OsString>,
    gone: &BTreeMap<&OsStr, &str>,
) -> Vec<OsString> {
    let Some(renamed) = renamed else {
        return named;
    };
    let id = gone.get(renamed.as_os_str());
    let alike = gone.iter().filter(|(_, other)| Some(*other) == id);
    match named.as_slice() {
        [only] if *only == renamed => named,
        // Files that say the same are renamed as well the one way as the other.
        named if named.is_empty() || named.contains(&renamed) => {
            alike.map(|(place, _)| (*place).to_owned()).collect()
        }
        _ => {
            let all: BTreeSet<OsString> = named.into_iter().chain([renamed]).collect();
            all.into_iter().collect()
        }
    }
}

/// The sites of a commit: their folders, and the ids of their own files. None, if it has more files
/// than are listed: then every site is a new one.
fn sites_at(repository: &Repository, commit: &str) -> Result<BTreeMap<OsString, String>, Failure> {
    let words = ["ls-tree", "-r", "-z", "--full-tree", commit];
    let list = match repository.ask(words, LIST_LIMIT) {
        Err(Refusal::TooLong(_)) => return Ok(BTreeMap::new()),
        list => list.map_err(cannot_compare)?,
    };
    let sites = list.split(|&byte| byte == 0).filter_map(|line| {
        // `<mode> <type> <id>`, then the path.
        let tab = line.iter().position(|&byte| byte == b'\t')?;
        let path = path_of(&line[tab + 1..]);
        path.ends_with(SITE_FILE).then_some(())?;
        let about = std::str::from_utf8(&line[..tab]).ok()?;
        let id = about.strip_prefix("100")?.split(' ').nth(2)?;
        Some((folder_of(&path), id.to_owned()))
    });
    Ok(sites.collect())
}

/// The folders of the sites that are in the work tree, or only left out of it.
fn sites_today(repository: &Repository) -> Result<BTreeSet<OsString>, Failure> {
    let words = "ls-files -t -z --cached --others --exclude-per-directory=.gitignore --";
    let words = words.split(' ').chain([SITE_FILES]);
    let list = repository.ask(words, LIST_LIMIT).map_err(cannot_compare)?;
    let sites = list.split(|&byte| byte == 0).filter_map(|line| {
        let (tag, path) = line.split_at_checked(2)?;
        let place = folder_of(&path_of(path));
        let is_there = tag == b"S " || is_site(&repository.top().join(&place));
        is_there.then_some(place)
    });
    Ok(sites.collect())
}

/// The folder from which git takes the site in the folder `own` to be renamed; none if it takes
/// another site to come from there as well.
fn renamed_from(
    repository: &Repository,
    commit: &str,
    own: &OsStr,
) -> Result<Option<OsString>, Failure> {
    // The index, and not the files themselves: to compare those, git would run a tree's filters.
    // Copies are looked for, because of two that are alike git else gives one a source and hides
    // that the other has the same.
    let words = "diff-index --cached -z -C -l500 --name-status --no-ext-diff --no-textconv";
    let words = words.split(' ').chain([commit, "--", SITE_FILES]);
    let list = repository.ask(words, LIST_LIMIT);
    let list = list.map_err(cannot_compare)?;
    let mut parts = list.split(|&byte| byte == 0);
    let mut pairs = Vec::new();
    while let (Some(status), Some(path)) = (parts.next(), parts.next()) {
        if status.starts_with(b"R") || status.starts_with(b"C") {
            let from = folder_of(&path_of(path));
            let to = parts.next().map(|path| folder_of(&path_of(path)));
            pairs.extend(to.map(|to| (from, to)));
        }
    }
    let source = pairs.iter().find(|(_, to)| to == own).map(|(from, _)| from);
    let claims = pairs
        .iter()
        .filter(|(from, _)| Some(from) == source)
        .count();
    Ok(source.filter(|_| claims == 1).cloned())
}

/// The sites among `gone` that were called `name`.
fn bearing(
    repository: &Repository,
    gone: &BTreeMap<&OsStr, &str>,
    name: &str,
    name_of: &dyn Fn(&[u8]) -> Option<String>,
) -> Result<Vec<OsString>, Failure> {
    let shown: Vec<String> = gone.keys().map(|place| super::told(place)).collect();
    let wanted: Vec<(&str, &str)> = shown
        .iter()
        .map(String::as_str)
        .zip(gone.values().copied())
        .collect();
    let files = objects(repository, &wanted, FILE_LIMIT)?;
    let places = gone.keys().zip(files);
    let places = places.filter(|(_, (_, bytes))| name_of(bytes).as_deref() == Some(name));
    Ok(places.map(|(place, _)| (*place).to_owned()).collect())
}

fn name_today(
    repository: &Repository,
    site: &OsStr,
    name_of: &dyn Fn(&[u8]) -> Option<String>,
) -> Option<String> {
    let file = repository.top().join(site).join(SITE_FILE);
    let (bytes, _) = bytes_on_disk(&file).ok()?;
    name_of(&bytes)
}

/// The folder of a site's own file, as [`Repository::below`] writes it.
fn folder_of(site_file: &Path) -> OsString {
    match site_file.parent() {
        Some(folder) if folder != Path::new("") => folder.into(),
        _ => ".".into(),
    }
}

#[cfg(test)]
mod tests;
