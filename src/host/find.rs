//! Finding the sites that the paths of a command line mean.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use walkdir::WalkDir;

use super::paths::{is_site, relative, settle, shown};
use super::read::words;
use super::sieve::enters;
use crate::failure::Failure;
use crate::input::{SITE_FILE, SiteInput, Unread};

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
}

impl Found {
    /// Keeps to the sites that lie in `places`, or in which they lie.
    ///
    /// # Errors
    /// A place that has to do with none of the sites.
    pub fn narrow(&mut self, places: &[PathBuf]) -> Result<(), Failure> {
        for place in places {
            let settled = settle(place);
            let mut met = false;
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
}

/// The sites at, above and below `paths`; those of the working folder if there are none. A path
/// that is not there is a failure unless it is `also` known, as an unsaved buffer is.
///
/// # Errors
/// A path that does not exist, or that no site holds and that holds no site.
pub fn find_sites(paths: &[PathBuf], also: impl Fn(&Path) -> bool) -> Result<Found, Failure> {
    let mut search = Search::default();
    match paths {
        [] => search.add_working_folder()?,
        some => some.iter().try_for_each(|path| search.add(path, &also))?,
    }
    Ok(search.finish())
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
#[derive(Default)]
struct Search {
    sites: BTreeMap<PathBuf, Option<Vec<Given>>>,
    unsearched: Vec<(PathBuf, String)>,
}

impl Search {
    /// Without paths, the site around the working folder counts as a whole.
    fn add_working_folder(&mut self) -> Result<(), Failure> {
        let here = Path::new(".");
        let around = site_of(here).filter(|root| *root != settle(here));
        if let Some(root) = around {
            self.sites.insert(root, None);
            self.search_below(&settle(here));
            return Ok(());
        }
        self.add(here, &|_| false)
    }

    fn add(&mut self, path: &Path, also: &impl Fn(&Path) -> bool) -> Result<(), Failure> {
        if path.symlink_metadata().is_err() && !also(path) {
            let what = format!("there is no file or folder {}", shown(path));
            return Err(Failure::new(what).advise("Check the spelling, and the folder you are in."));
        }
        let settled = settle(path);
        let inner = self.search_below(&settled);
        match site_of(path) {
            Some(root) if root == settled => {}
            Some(root) => self.want(root, &settled, path, inner == 0),
            None if inner > 0 => {}
            None => return Err(no_site(path, &settled)),
        }
        Ok(())
    }

    /// Takes in every site at or below `folder`, and says how many there are.
    fn search_below(&mut self, folder: &Path) -> usize {
        let mut count = 0;
        let walk = WalkDir::new(folder).into_iter().filter_entry(|entry| {
            entry.depth() == 0 || enters(&entry.file_name().to_string_lossy())
        });
        for entry in walk {
            match entry {
                Ok(entry) if entry.file_type().is_dir() && is_site(entry.path()) => {
                    self.sites.insert(entry.into_path(), None);
                    count += 1;
                }
                Ok(_) => {}
                Err(error) => self.unsearched.extend(unsearched(&error)),
            }
        }
        count
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
        let mut unsearched: Vec<Unread> = self
            .unsearched
            .iter()
            .filter(|(path, _)| outside(path))
            .map(|(path, why)| Unread {
                path: show(path),
                why: why.clone(),
            })
            .collect();
        unsearched.sort();
        unsearched.dedup();
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
        Found { sites, unsearched }
    }
}

fn sorted(mut given: Vec<Given>) -> Vec<Given> {
    given.sort();
    given.dedup();
    given
}

fn unsearched(error: &walkdir::Error) -> Option<(PathBuf, String)> {
    let why = error.io_error().map_or_else(|| error.to_string(), words);
    Some((error.path()?.to_owned(), why))
}

fn no_site(path: &Path, settled: &Path) -> Failure {
    let folder = settled.ancestors().find(|up| up.is_dir());
    let other_ending = folder.is_some_and(|folder| folder.join("cordwright.yml").is_file());
    let advice = if other_ending {
        format!("There is a cordwright.yml: name it {SITE_FILE}.")
    } else {
        format!(
            "A site is a folder with a {SITE_FILE} at its root. Name such a folder, or a file or \
             folder inside one."
        )
    };
    Failure::new(format!("no site found at {}", shown(path))).advise(advice)
}

#[cfg(test)]
mod tests;
