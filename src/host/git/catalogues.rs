//! The catalogues of a site as they were at a commit.

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

use super::run::{LIST_LIMIT, exactly};
use super::tree::Tree;
use super::{Then, cannot_compare};
use crate::failure::Failure;
use crate::host::catalogues::found;
use crate::host::site_paths::{SitePaths, enters};
use crate::input::{FileGlobs, NotRead, PassedOver, SITE_FILE, SNAG_FILE, SiteInput, Unread, Way};

/// Adds what the catalogues held that the site in the folder `place` named then.
pub(super) fn read(
    then: &Then,
    place: &OsStr,
    named: &[String],
    input: &mut SiteInput,
) -> Result<(), Failure> {
    if named.is_empty() {
        return Ok(());
    }
    let (catalogues, not_read) = found(named, |way| folder(then, place, way))?;
    input.passed_over.extend(not_read);
    let (all, _) = SitePaths::new(&FileGlobs::default());
    for catalogue in catalogues {
        let today = then.repository.top().join(&catalogue.folder);
        let Some(tree) = then.tree(&slashed(&catalogue.folder))? else {
            continue;
        };
        let met = tree.site(&all, Vec::new(), &today)?;
        let behind = |path: String| format!("{}/{path}", catalogue.way);
        let files = met.files.into_iter().filter(|(path, _)| path != SNAG_FILE);
        input
            .files
            .extend(files.map(|(path, bytes)| (behind(path), bytes)));
        input
            .unread
            .extend(met.unread.into_iter().map(|one| Unread {
                path: behind(one.path),
                ..one
            }));
        input
            .passed_over
            .extend(met.passed_over.into_iter().map(|one| PassedOver {
                path: behind(one.path),
                ..one
            }));
    }
    input.files.sort_by(|a, b| a.0.cmp(&b.0));
    input.unread.sort();
    input.passed_over.sort();
    Ok(())
}

/// The folder below the top to which a way led from `place`.
fn folder(then: &Then, place: &OsStr, way: &Way) -> Result<Result<PathBuf, NotRead>, Failure> {
    let place = match place == "." {
        true => Path::new(""),
        false => Path::new(place),
    };
    let Some(above) = place.ancestors().nth(way.up) else {
        return Ok(Err(NotRead::Outside));
    };
    let mut folder = above.to_owned();
    folder.extend(&way.down);
    Ok(if folder.starts_with(place) {
        Err(NotRead::Own)
    } else if place.starts_with(&folder) {
        Err(NotRead::Around)
    } else if !way.down.iter().all(|name| enters(name)) {
        Err(NotRead::Hidden)
    } else if is_in_site(then, &folder)? {
        Err(NotRead::OfASite)
    } else if !Tree::is_at(&then.repository, &then.commit, &slashed(&folder))? {
        Err(NotRead::Missing)
    } else {
        Ok(folder)
    })
}

/// Whether a site lay in the folder or in one above it.
fn is_in_site(then: &Then, folder: &Path) -> Result<bool, Failure> {
    let own_files = folder
        .ancestors()
        .map(|up| exactly(&slashed(&up.join(SITE_FILE))));
    let words = ["ls-tree", "-z", "--full-tree", &then.commit, "--"].map(OsString::from);
    let words = words.into_iter().chain(own_files);
    let list = then
        .repository
        .ask(words, LIST_LIMIT)
        .map_err(cannot_compare)?;
    Ok(!list.is_empty())
}

/// A path as git writes it.
fn slashed(path: &Path) -> OsString {
    let parts: Vec<&OsStr> = path.iter().collect();
    parts.join(OsStr::new("/"))
}
