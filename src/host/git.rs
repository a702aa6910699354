//! A site as it was at a revision, read from git's store without touching the work tree.

mod catalogues;
mod earlier;
mod names;
pub(super) mod run;
mod tree;

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

use crate::failure::Failure;
use crate::input::{FileGlobs, SiteInput};

use super::paths::{settle, shown};
use super::site_paths::SitePaths;
use earlier::moved_from;
use run::{LIST_LIMIT, Refusal, Repository};
use tree::Tree;

pub use earlier::Moves;

/// A site as it was at a revision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SiteAt {
    /// Its files of that time.
    pub input: SiteInput,
    /// The folder in which it lay then: below the top of the repository, with forward slashes, `.`
    /// for the top itself.
    pub at: String,
    /// Whether it lies in another folder today.
    pub has_moved: bool,
    /// The full id of the commit that the revision means.
    pub commit: String,
}

/// Reads the site at `root` as it was at the revision `rev`, as [`super::read_site`] would have
/// read it then. If there was no site in that folder yet, it is looked for where it may have been
/// moved from; `name_of` finds `site.name` in the bytes of a site's own file. `None` if there was
/// none, or if it cannot be told which of several it was: [`earlier_places`] has those.
///
/// # Errors
/// `root` is not in a repository, the revision is not known or not there in full, or git cannot be
/// run.
pub fn read_site_at(
    rev: &str,
    root: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    name_of: &dyn Fn(&[u8]) -> Option<String>,
    moves: &Moves,
) -> Result<Option<SiteAt>, Failure> {
    let then = Then::at(rev, root)?;
    if let Some(site) = then.site(&then.own, globs_of)? {
        return Ok(Some(site));
    }
    match &*then.moved_from(moves, name_of)? {
        [place] => then.site(place, globs_of),
        _ => Ok(None),
    }
}

/// The folders in which the site at `root` may have lain at the revision `rev`, as
/// [`SiteAt::at`]: its own, the one that it was moved from, none, or several that cannot be told
/// apart.
///
/// # Errors
/// As [`read_site_at`].
pub fn earlier_places(
    rev: &str,
    root: &Path,
    name_of: &dyn Fn(&[u8]) -> Option<String>,
    moves: &Moves,
) -> Result<Vec<String>, Failure> {
    let then = Then::at(rev, root)?;
    let is_own = match then.tree(&then.own)? {
        Some(tree) => tree.site_file()?.is_some(),
        None => false,
    };
    if is_own {
        return Ok(vec![told(&then.own)]);
    }
    let places = then.moved_from(moves, name_of)?;
    Ok(places.iter().map(|place| told(place)).collect())
}

/// The folders below `path` in which sites lay at the revision `rev`, and in which there are none today,
/// as [`SiteAt::at`]. What was moved is among them.
///
/// # Errors
/// As [`read_site_at`].
pub fn gone_sites(rev: &str, path: &Path) -> Result<Vec<String>, Failure> {
    let path = settle(path);
    let folder = match path.is_dir() {
        true => &path,
        false => path.parent().unwrap_or(&path),
    };
    let then = Then::at(rev, folder)?;
    let gone = earlier::gone_below(&then.repository, &then.commit, &then.own)?;
    Ok(gone.iter().map(|place| told(place)).collect())
}

/// A commit of the repository around a site.
struct Then {
    repository: Repository,
    commit: String,
    /// The real folder of the site today, and the way to it from the top.
    root: PathBuf,
    own: OsString,
}

impl Then {
    fn at(rev: &str, root: &Path) -> Result<Self, Failure> {
        let root = settle(root);
        let repository = Repository::around(&root).map_err(cannot_compare)?;
        names::must_be_clear(&repository, rev)?;
        let wanted = format!("{rev}^{{commit}}");
        let words = [
            "rev-parse",
            "--verify",
            "--quiet",
            "--end-of-options",
            &wanted,
        ];
        let id = repository
            .ask(words, LIST_LIMIT)
            .map_err(|refusal| match refusal {
                Refusal::Says(_) => unknown(rev),
                other => cannot_compare(other),
            })?;
        Ok(Self {
            commit: String::from_utf8_lossy(&id).trim().to_owned(),
            own: repository.below(&root),
            repository,
            root,
        })
    }

    fn tree(&self, place: &OsStr) -> Result<Option<Tree<'_>>, Failure> {
        Tree::at(&self.repository, &self.commit, place)
    }

    /// The site in the folder `place`, if there was one.
    fn site(
        &self,
        place: &OsStr,
        globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    ) -> Result<Option<SiteAt>, Failure> {
        let Some(tree) = self.tree(place)? else {
            return Ok(None);
        };
        let Some(site_file) = tree.site_file()? else {
            return Ok(None);
        };
        let globs = globs_of(&site_file);
        let (site_paths, notes) = SitePaths::new(&globs);
        let mut input = tree.site(&site_paths, notes, &self.root)?;
        catalogues::read(self, place, &globs.catalogues, &mut input)?;
        Ok(Some(SiteAt {
            input,
            at: told(place),
            has_moved: place != self.own,
            commit: self.commit.clone(),
        }))
    }

    fn moved_from(
        &self,
        moves: &Moves,
        name_of: &dyn Fn(&[u8]) -> Option<String>,
    ) -> Result<Vec<OsString>, Failure> {
        moved_from(moves, &self.repository, &self.commit, &self.own, name_of)
    }
}

fn told(place: &OsStr) -> String {
    shown(Path::new(place))
}

fn cannot_compare(refusal: Refusal) -> Failure {
    let (why, advice) = match refusal {
        Refusal::NoRepository => (
            "the site does not lie in a git repository".to_owned(),
            "Comparing needs a repository around the site, with a folder or file \".git\".",
        ),
        Refusal::Elsewhere(top) => (
            format!(
                "the \".git\" in {} is not the repository of that folder",
                shown(&top)
            ),
            "Put it right, or take it away if another repository lies around it.",
        ),
        Refusal::CannotRun(why) => (
            format!("git cannot be run: {why}"),
            "Comparing reads the earlier state with git; install it, or leave out --compare.",
        ),
        Refusal::TooLong(limit) => (
            format!("git's answer is longer than {} MiB", limit >> 20),
            "That is the most that is read of a revision. Name another one.",
        ),
        Refusal::Says(words) => {
            let advice = match words.contains("dubious ownership") {
                true => {
                    "The folder belongs to somebody else. If you trust it, say so: git config \
                     --global --add safe.directory FOLDER"
                }
                false => "Comparing needs the revision in full: a partial clone may lack it.",
            };
            (format!("git says \"{words}\""), advice)
        }
    };
    Failure::new(format!("cannot compare: {why}")).advise(advice)
}

fn lacking(name: &str) -> Failure {
    let what = format!("cannot compare: git does not have {name} as it was");
    Failure::new(what).advise("Fetch the revision in full: a partial clone may lack it.")
}

fn unknown(rev: &str) -> Failure {
    Failure::new(format!("cannot compare: git knows no revision \"{rev}\""))
        .advise("Name a branch, tag or commit; a shallow clone may have to be fetched in full.")
}

#[cfg(test)]
mod tests;
