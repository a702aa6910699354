//! Where a site lay at a commit: in its own folder, or in the one that it was moved from.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use super::cannot_compare;
use super::run::{LIST_LIMIT, Refusal, Repository, path_of};
use super::tree::objects;
use crate::failure::Failure;
use crate::host::paths::is_site;
use crate::host::read::{FILE_LIMIT, bytes_on_disk};
use crate::input::SITE_FILE;

/// Own files of sites, wherever they lie.
const SITE_FILES: &str = ":(glob)**/cordwright.yaml";

/// Where the sites of a repository lay at the commits that they are compared with: asked of each commit
/// once, however many sites there are.
#[derive(Debug, Default)]
pub struct Moves {
    known: RefCell<BTreeMap<(PathBuf, String), Rc<Moved>>>,
}

/// What a commit and the work tree say of sites that came and went between them.
#[derive(Debug, Default)]
struct Moved {
    /// Sites that were there and are not any more, and the ids of their own files.
    gone: BTreeMap<OsString, String>,
    gone_by_id: BTreeMap<String, Vec<OsString>>,
    gone_by_name: BTreeMap<String, Vec<OsString>>,
    /// Where git takes sites to come from, and how many it takes to come from there.
    from: BTreeMap<OsString, OsString>,
    claims: BTreeMap<OsString, usize>,
    /// What new sites are called, and how many are called so.
    names: BTreeMap<OsString, Option<String>>,
    new_by_name: BTreeMap<String, usize>,
}

/// The folders below the top from which the site in the folder `own`, which was none at `commit`,
/// may have been moved; several if it cannot be told which.
///
/// A site that was there and is gone is the same site if git takes its own file for renamed, or if
/// it alone had the name of this one. Where the two disagree, or another new site has as good a
/// claim, nothing is decided: a wrong base would let faults pass as old ones.
pub(super) fn moved_from(
    moves: &Moves,
    repository: &Repository,
    commit: &str,
    own: &OsStr,
    name_of: &dyn Fn(&[u8]) -> Option<String>,
) -> Result<Vec<OsString>, Failure> {
    let moved = moves.since(repository, commit, name_of)?;
    if moved.gone.is_empty() {
        return Ok(Vec::new());
    }
    let listed = moved.names.get(own);
    let called = match listed {
        Some(name) => name.clone(),
        None => name_today(repository, own, name_of),
    };
    // Another new site of that name might be the one as well.
    let alone = usize::from(listed.is_some());
    let is_alone = |name: &String| moved.new_by_name.get(name).copied().unwrap_or(0) <= alone;
    let named = called.filter(is_alone);
    let named = named.and_then(|name| moved.gone_by_name.get(&name).cloned());
    Ok(moved.agreed(moved.renamed_from(own), named.unwrap_or_default()))
}

impl Moves {
    fn since(
        &self,
        repository: &Repository,
        commit: &str,
        name_of: &dyn Fn(&[u8]) -> Option<String>,
    ) -> Result<Rc<Moved>, Failure> {
        let key = (repository.top().to_owned(), commit.to_owned());
        if let Some(moved) = self.known.borrow().get(&key) {
            return Ok(Rc::clone(moved));
        }
        let moved = Rc::new(Moved::since(repository, commit, name_of)?);
        self.known.borrow_mut().insert(key, Rc::clone(&moved));
        Ok(moved)
    }
}

impl Moved {
    fn since(
        repository: &Repository,
        commit: &str,
        name_of: &dyn Fn(&[u8]) -> Option<String>,
    ) -> Result<Self, Failure> {
        let then = sites_at(repository, commit)?;
        let today = sites_today(repository)?;
        let mut moved = Self::default();
        let is_gone = |(place, _): &(&OsString, &String)| !today.contains(*place);
        let gone = then.iter().filter(is_gone);
        moved.gone = gone
            .map(|(place, id)| (place.clone(), id.clone()))
            .collect();
        if moved.gone.is_empty() {
            return Ok(moved);
        }
        for (place, id) in &moved.gone {
            let alike = moved.gone_by_id.entry(id.clone()).or_default();
            alike.push(place.clone());
        }
        moved.gone_by_name = by_name(repository, &moved.gone, name_of)?;
        for (from, to) in renamed(repository, commit)? {
            *moved.claims.entry(from.clone()).or_default() += 1;
            moved.from.entry(to).or_insert(from);
        }
        for site in today.into_iter().filter(|site| !then.contains_key(site)) {
            let name = name_today(repository, &site, name_of);
            if let Some(name) = &name {
                *moved.new_by_name.entry(name.clone()).or_default() += 1;
            }
            moved.names.insert(site, name);
        }
        Ok(moved)
    }

    /// The folder that is gone and from which git takes the site in the folder `own` to be renamed; none
    /// if it takes another site to come from there as well.
    fn renamed_from(&self, own: &OsStr) -> Option<OsString> {
        let from = self.from.get(own)?;
        let is_it = self.claims.get(from) == Some(&1) && self.gone.contains_key(from);
        is_it.then(|| from.clone())
    }

    /// What the two ways of knowing a site again say together.
    fn agreed(&self, renamed: Option<OsString>, named: Vec<OsString>) -> Vec<OsString> {
        let Some(renamed) = renamed else {
            return named;
        };
        let alike = || self.gone_by_id.get(self.gone.get(&renamed)?).cloned();
        match named.as_slice() {
            [only] if *only == renamed => named,
            // Files that say the same are renamed as well the one way as the other.
            named if named.is_empty() || named.contains(&renamed) => alike().unwrap_or_default(),
            _ => {
                let all: BTreeSet<OsString> = named.into_iter().chain([renamed]).collect();
                all.into_iter().collect()
            }
        }
    }
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

/// The folders from which git takes sites to be renamed or copied, each with the site's folder today.
fn renamed(repository: &Repository, commit: &str) -> Result<Vec<(OsString, OsString)>, Failure> {
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
    Ok(pairs)
}

/// The sites among `gone` by what they were called.
fn by_name(
    repository: &Repository,
    gone: &BTreeMap<OsString, String>,
    name_of: &dyn Fn(&[u8]) -> Option<String>,
) -> Result<BTreeMap<String, Vec<OsString>>, Failure> {
    let shown: Vec<String> = gone.keys().map(|place| super::told(place)).collect();
    let ids = gone.values().map(String::as_str);
    let wanted: Vec<(&str, &str)> = shown.iter().map(String::as_str).zip(ids).collect();
    let files = objects(repository, &wanted, FILE_LIMIT)?;
    let mut by_name: BTreeMap<String, Vec<OsString>> = BTreeMap::new();
    for (place, (_, bytes)) in gone.keys().zip(files) {
        if let Some(name) = name_of(&bytes) {
            by_name.entry(name).or_default().push(place.clone());
        }
    }
    Ok(by_name)
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
