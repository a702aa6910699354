//! Finding the sites that the paths of a command line mean.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};

use walkdir::{DirEntry, WalkDir};

use super::catalogues;
use super::ignored::{Ignored, Within};
use super::paths::{is_site, relative, settle, shown};
use super::read::words;
use super::site_paths::enters;
use crate::failure::Failure;
use crate::input::{PassedOver, Reason, SITE_FILE, SiteInput, Unread};

/// A path of the command line that lies below a site's root.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Given {
    /// Path below the root, with forward slashes; empty for the root itself.
    pub below: String,
    /// The path as it was typed.
    pub typed: String,
    /// Whether the path means nothing unless this site reads something there.
    pub needed: bool,
}

impl Given {
    /// Whether the file at `path` lies there.
    pub fn holds(&self, path: &str) -> bool {
        let rest = path.strip_prefix(&self.below);
        self.below.is_empty() || rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    }
}

/// One site to judge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SiteRoot {
    /// The folder.
    pub dir: PathBuf,
    /// The folder as shown: its way from the working folder, with forward slashes.
    pub shown: String,
    /// Where findings are wanted; everywhere if `None`.
    pub given: Option<Vec<Given>>,
    /// Where else findings must lie to be wanted; everywhere if `None`.
    pub within: Option<Vec<Given>>,
}

impl SiteRoot {
    /// Whether findings in the file at `path`, below the root, are wanted.
    pub fn wants(&self, path: &str) -> bool {
        let lies_in = |places: &Option<Vec<Given>>| match places {
            Some(places) => places.iter().any(|place| place.holds(path)),
            None => true,
        };
        lies_in(&self.given) && lies_in(&self.within)
    }

    /// The first place that holds no file of this site: silence about it would look like a pass.
    pub fn misses<'a>(&'a self, input: &SiteInput) -> Option<&'a Given> {
        let holds_some = |one: &Given| {
            let mut files = input.files.iter().map(|(path, _)| path);
            files.any(|path| one.holds(path)) || input.unread.iter().any(|u| one.holds(&u.path))
        };
        let mut all = self.given.iter().chain(&self.within).flatten();
        all.find(|one| one.needed && !holds_some(one))
    }
}

/// What the paths of a command line mean.
#[derive(Clone, Debug, Default)]
pub struct Found {
    /// The sites, in order of the paths shown.
    pub sites: Vec<SiteRoot>,
    /// Folders outside all sites that could not be looked into, and may hold sites.
    pub unsearched: Vec<Unread>,
    /// Folders outside all sites that were not looked into, because git has them left out.
    pub passed_over: Vec<PassedOver>,
    /// Files outside all sites that would make one if they had the right name.
    pub misnamed: Vec<String>,
}

impl Found {
    /// Keeps to the sites that lie in `places`, or in which they lie.
    ///
    /// # Errors
    /// A place that has to do with none of the sites.
    pub fn narrow(&mut self, places: &[PathBuf], ignored: &Ignored) -> Result<(), Failure> {
        for place in places {
            let settled = settle(place);
            let mut met = self.narrow_to_shared(place, &settled, ignored);
            for site in &mut self.sites {
                let whole = site.dir.starts_with(&settled);
                if whole || settled.starts_with(&site.dir) {
                    let below = match whole {
                        true => String::new(),
                        false => shown(settled.strip_prefix(&site.dir).unwrap_or(&settled)),
                    };
                    let typed = shown(place);
                    let needed = !whole;
                    let within = site.within.get_or_insert_default();
                    within.push(Given {
                        below,
                        typed,
                        needed,
                    });
                    met = true;
                }
            }
            if !met {
                let what = format!("{} lies in none of the sites checked", shown(place));
                return Err(Failure::new(what).advise("Name a file or folder inside one of them."));
            }
        }
        if !places.is_empty() {
            self.sites.retain(|site| site.within.is_some());
        }
        Ok(())
    }

    /// Keeps to the sites that read a place which lies in the folder of none; whether any does.
    fn narrow_to_shared(&mut self, place: &Path, settled: &Path, ignored: &Ignored) -> bool {
        if site_of(settled).is_some() {
            return false;
        }
        let mut met = false;
        for site in &mut self.sites {
            let shared = catalogues::shared_at(&site.dir, settled, ignored).into_iter();
            let shared: Vec<Given> = shared
                .map(|below| Given {
                    below,
                    typed: shown(place),
                    needed: true,
                })
                .collect();
            if !shared.is_empty() {
                site.within.get_or_insert_default().extend(shared);
                met = true;
            }
        }
        met
    }
}

/// The sites at, above and below `paths`; those of the working folder if there are none. A path
/// that is not there is a failure unless it is `also` known, as an unsaved buffer is. What is
/// `ignored` is found only where it is named itself.
///
/// # Errors
/// A path that does not exist, or that no site holds and that holds no site.
pub fn find_sites(
    paths: &[PathBuf],
    also: impl Fn(&Path) -> bool,
    ignored: &Ignored,
) -> Result<Found, Failure> {
    let mut search = Search::within(ignored);
    match paths {
        [] => search.add_working_folder()?,
        some => some.iter().try_for_each(|path| search.add(path, &also))?,
    }
    Ok(search.finish())
}

/// The roots of the sites at and below `folder`.
pub(super) fn sites_below(folder: &Path, ignored: &Ignored) -> Vec<PathBuf> {
    let mut search = Search::within(ignored);
    search.search_below(folder);
    search.sites.into_keys().collect()
}

/// The root of the site in which `path` lies; the nearest, if sites lie within sites.
pub fn site_of(path: &Path) -> Option<PathBuf> {
    let settled = settle(path);
    let root = settled.ancestors().find(|folder| is_site(folder));
    root.map(Path::to_owned)
}

/// The site in which `path` lies and the path below its root, with forward slashes.
pub fn place_in_site(path: &Path) -> Option<(PathBuf, String)> {
    let root = site_of(path)?;
    let settled = settle(path);
    let below = shown(settled.strip_prefix(&root).ok()?);
    Some((root, below))
}

/// Sites by folder, with what is wanted of them.
struct Search<'a> {
    ignored: &'a Ignored,
    sites: BTreeMap<PathBuf, Option<Vec<Given>>>,
    unsearched: Vec<(PathBuf, String)>,
    passed_over: Vec<(PathBuf, Reason)>,
    misnamed: BTreeSet<PathBuf>,
}

impl<'a> Search<'a> {
    fn within(ignored: &'a Ignored) -> Self {
        Self {
            ignored,
            sites: BTreeMap::new(),
            unsearched: Vec::new(),
            passed_over: Vec::new(),
            misnamed: BTreeSet::new(),
        }
    }

    /// Without paths, the site around the working folder counts as a whole.
    fn add_working_folder(&mut self) -> Result<(), Failure> {
        let here = settle(Path::new("."));
        let Some(root) = site_of(&here).filter(|root| *root != here) else {
            return self.add(Path::new("."), &|_| false);
        };
        let has_part = self.has_part(&root, &here);
        let inner = self.search_below(&here);
        if has_part || inner == 0 {
            self.sites.insert(root, None);
        }
        Ok(())
    }

    /// Whether the site at `root` reads what is at `place`: it does not read another work tree.
    fn has_part(&self, root: &Path, place: &Path) -> bool {
        root == place || self.ignored.within(root).reaches(root, place)
    }

    fn add(&mut self, path: &Path, also: &impl Fn(&Path) -> bool) -> Result<(), Failure> {
        if path.symlink_metadata().is_err() && !also(path) {
            let what = format!("there is no file or folder {}", shown(path));
            return Err(Failure::new(what).advise("Check the spelling, and the folder you are in."));
        }
        let settled = settle(path);
        let root = site_of(path);
        let has_part = root
            .as_deref()
            .is_some_and(|root| self.has_part(root, &settled));
        let inner = self.search_below(&settled);
        match root {
            Some(root) if root == settled => {}
            Some(_) if inner > 0 && !has_part => {}
            Some(root) => self.want(root, &settled, path, inner == 0),
            None if inner > 0 => {}
            None => {
                // What many sites share bears on all that is in each.
                let readers = catalogues::readers(&settled, self.ignored);
                if readers.is_empty() {
                    return Err(self.no_site(path, &settled));
                }
                let whole = readers.into_iter().map(|root| (root, None));
                self.sites.extend(whole);
            }
        }
        Ok(())
    }

    /// Takes in every site at or below `folder`, and says how many there are.
    fn search_below(&mut self, folder: &Path) -> usize {
        let mut count = 0;
        if !folder.is_dir() {
            return count;
        }
        let mut within = self.ignored.within(folder);
        let mut walk = WalkDir::new(folder).into_iter();
        while let Some(entry) = walk.next() {
            match entry {
                Ok(entry) if entry.file_type().is_dir() => {
                    let is_named = entry.depth() == 0;
                    if !is_named && !self.enters(&entry, &mut within) {
                        walk.skip_current_dir();
                    } else if self.is_site(entry.path(), is_named, &within) {
                        self.sites.insert(entry.into_path(), None);
                        count += 1;
                    }
                }
                Ok(entry) if is_misnamed(entry.file_name()) => {
                    self.misnamed.insert(entry.into_path());
                }
                Ok(_) => {}
                Err(error) => self.unsearched.extend(unsearched(&error)),
            }
        }
        count
    }

    fn enters(&mut self, folder: &DirEntry, within: &mut Within<'_>) -> bool {
        if !enters(&folder.file_name().to_string_lossy()) {
            return false;
        }
        let why = within.why_not(folder.path(), true);
        let enters = why.is_none();
        let passed_over = why.map(|why| (folder.path().to_owned(), why));
        self.passed_over.extend(passed_over);
        enters
    }

    fn is_site(&mut self, folder: &Path, is_named: bool, within: &Within<'_>) -> bool {
        let is_left_out = !is_named && within.leaves_out(&folder.join(SITE_FILE));
        if is_left_out && is_site(folder) {
            let site_file = folder.join(SITE_FILE);
            self.passed_over.push((site_file, Reason::Ignored));
        }
        !is_left_out && is_site(folder)
    }

    fn want(&mut self, root: PathBuf, settled: &Path, typed: &Path, needed: bool) {
        let given = Given {
            below: shown(settled.strip_prefix(&root).unwrap_or(settled)),
            typed: shown(typed),
            needed,
        };
        // A site that is wanted as a whole stays so.
        let wanted = self.sites.entry(root).or_insert_with(|| Some(Vec::new()));
        if let Some(wanted) = wanted {
            wanted.push(given);
        }
    }

    fn finish(self) -> Found {
        let here = settle(Path::new("."));
        let show = |path: &Path| shown(&relative(&here, path));
        // What lies inside a site is told by whoever reads that site.
        let outside = |path: &Path| !path.ancestors().any(|up| self.sites.contains_key(up));
        let unsearched = self.unsearched.iter().filter(|(path, _)| outside(path));
        let unsearched = unsearched.map(|(path, why)| Unread {
            path: show(path),
            why: why.clone(),
        });
        let passed_over = self.passed_over.iter().filter(|(path, _)| outside(path));
        let passed_over = passed_over.map(|(path, why)| PassedOver {
            path: match path.is_dir() {
                true => format!("{}/", show(path)),
                false => show(path),
            },
            why: why.clone(),
        });
        let misnamed = self.misnamed.iter().filter(|path| outside(path));
        let misnamed = misnamed.map(|path| show(path)).collect();
        let (unsearched, passed_over) = (sorted(unsearched), sorted(passed_over));
        let mut sites: Vec<SiteRoot> = self
            .sites
            .into_iter()
            .map(|(dir, given)| SiteRoot {
                shown: show(&dir),
                dir,
                given: given.map(sorted),
                within: None,
            })
            .collect();
        sites.sort_by(|a, b| (&a.shown, &a.dir).cmp(&(&b.shown, &b.dir)));
        Found {
            sites,
            unsearched,
            passed_over,
            misnamed,
        }
    }

    fn no_site(&self, path: &Path, settled: &Path) -> Failure {
        let folder = settled.ancestors().find(|up| up.is_dir());
        let advice = match (folder.and_then(misnamed_in), self.passed_over.iter().min()) {
            (Some(name), _) => format!("There is a {name}: name it {SITE_FILE}."),
            (None, Some((left_out, why))) => format!(
                "{} was not looked into: {why}. Name it, or look into everything with --all-files.",
                shown(&path.join(left_out.strip_prefix(settled).unwrap_or(left_out))),
            ),
            (None, None) => format!(
                "A site is a folder with a {SITE_FILE} at its root. Name such a folder, or a file or \
                 folder inside one."
            ),
        };
        Failure::new(format!("no site found at {}", shown(path))).advise(advice)
    }
}

/// Whether a file is named nearly as a site's own file is: with other letter case or ending.
fn is_misnamed(name: &OsStr) -> bool {
    let likely = [SITE_FILE, "cordwright.yml"];
    let is_like = |likely: &str| name.eq_ignore_ascii_case(likely);
    name != SITE_FILE && likely.into_iter().any(is_like)
}

/// The first such file in a folder.
fn misnamed_in(folder: &Path) -> Option<String> {
    let entries = fs::read_dir(folder).ok()?.flatten();
    let names = entries.map(|entry| entry.file_name());
    let first = names.filter(|name| is_misnamed(name)).min()?;
    Some(shown(Path::new(&first)))
}

fn sorted<T: Ord>(all: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = all.into_iter().collect();
    all.sort();
    all.dedup();
    all
}

fn unsearched(error: &walkdir::Error) -> Option<(PathBuf, String)> {
    let why = error.io_error().map_or_else(|| error.to_string(), words);
    Some((error.path()?.to_owned(), why))
}

#[cfg(test)]
mod tests;
