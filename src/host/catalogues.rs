//! Catalogues that sites share: where they lie, and which sites read them.

use std::convert::Infallible;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::find::{site_of, sites_below};
use super::git::run::top_above;
use super::ignored::Ignored;
use super::overlay::Overlay;
use super::paths::{is_site, settle, shown};
use super::read::{site_file, words};
use super::site_paths::{SitePaths, enters};
use crate::input::{FileGlobs, MOST_CATALOGUES, NotRead, PassedOver, Reason, Way};
use crate::judgement::file_globs;

/// A catalogue of a site.
#[derive(Debug)]
pub(super) struct Catalogue {
    /// The way there from the site's folder, with which the paths of its files begin.
    pub way: String,
    /// Where it lies: its real folder or, at a revision, the one below the top.
    pub folder: PathBuf,
}

/// The catalogues that are `named` and can be read, and why others cannot; `find` tells where each lies.
pub(super) fn found<E>(
    named: &[String],
    mut find: impl FnMut(&Way) -> Result<Result<PathBuf, NotRead>, E>,
) -> Result<(Vec<Catalogue>, Vec<PassedOver>), E> {
    let (mut catalogues, mut passed_over) = (Vec::<Catalogue>::new(), Vec::new());
    let mut names: Vec<&str> = Vec::new();
    for (at, name) in named.iter().enumerate().take(MOST_CATALOGUES) {
        if named[..at].contains(name) {
            continue;
        }
        let looked_for = match Way::of(name) {
            Ok(way) => find(&way)?.map(|folder| (way.to_string(), folder)),
            Err(why) => Err(why),
        };
        let met = looked_for.and_then(|(way, folder)| {
            let is_met = |other: &Catalogue| {
                other.folder.starts_with(&folder) || folder.starts_with(&other.folder)
            };
            match catalogues.iter().position(is_met) {
                Some(first) => Err(NotRead::Again(names[first].to_owned())),
                None => Ok(Catalogue { way, folder }),
            }
        });
        match met {
            Ok(catalogue) => {
                catalogues.push(catalogue);
                names.push(name);
            }
            Err(why) => passed_over.push(PassedOver {
                path: name.clone(),
                why: Reason::Catalogue(why),
            }),
        }
    }
    Ok((catalogues, passed_over))
}

/// The catalogues that the site at the settled `root` names, and why others are not read.
pub(super) fn of_site(
    root: &Path,
    named: &[String],
    ignored: &Ignored,
) -> (Vec<Catalogue>, Vec<PassedOver>) {
    let find = |way: &Way| Ok::<_, Infallible>(folder(root, way, ignored));
    let Ok(found) = found(named, find);
    found
}

/// The folder to which a way leads: never out of the repository and over no link.
fn folder(root: &Path, way: &Way, ignored: &Ignored) -> Result<PathBuf, NotRead> {
    let (highest, beyond) = match top_above(root) {
        Some(top) => (top, NotRead::Outside),
        None => (root.parent().unwrap_or(root), NotRead::TooHigh),
    };
    let above = root.ancestors().nth(way.up);
    let above = above.filter(|above| above.starts_with(highest));
    let mut folder = above.ok_or(beyond)?.to_owned();
    folder.extend(&way.down);
    if folder.starts_with(root) {
        return Err(NotRead::Own);
    }
    if root.starts_with(&folder) {
        return Err(NotRead::Around);
    }
    if !way.down.iter().all(|name| enters(name)) {
        return Err(NotRead::Hidden);
    }
    match folder.canonicalize() {
        Ok(real) if real != folder => return Err(NotRead::Link),
        Ok(_) if !folder.is_dir() => return Err(NotRead::NoFolder),
        Ok(_) => {}
        Err(_) if folder.is_symlink() => return Err(NotRead::Link),
        Err(error) => {
            return Err(match error.kind() {
                ErrorKind::NotFound => NotRead::Missing,
                ErrorKind::NotADirectory => NotRead::NoFolder,
                _ => NotRead::Barred(words(&error)),
            });
        }
    }
    let mut around = folder.ancestors().take_while(|up| up.starts_with(highest));
    if around.any(is_site) {
        return Err(NotRead::OfASite);
    }
    match ignored.within(highest).reaches(highest, &folder) {
        true => Ok(folder),
        false => Err(NotRead::LeftOut),
    }
}

/// Where the site at the settled `root` reads what lies at the settled `place`, outside of it: paths from
/// the root, each in a catalogue.
pub(super) fn shared_at(root: &Path, place: &Path, ignored: &Ignored) -> Vec<String> {
    let Ok(bytes) = site_file(root, &Overlay::default()) else {
        return Vec::new();
    };
    let (catalogues, _) = of_site(root, &file_globs(&bytes).catalogues, ignored);
    let (paths, _) = SitePaths::new(&FileGlobs::default());
    let there = catalogues.into_iter().filter_map(|catalogue| {
        if catalogue.folder.starts_with(place) {
            return Some(catalogue.way);
        }
        let below = shown(place.strip_prefix(&catalogue.folder).ok()?);
        let is_read = match place.is_dir() {
            true => paths.reaches(&below),
            false => paths.takes_throughout(&below),
        };
        is_read.then(|| format!("{}/{below}", catalogue.way))
    });
    there.collect()
}

/// The roots of the sites that read the file at `path` as a part of a catalogue.
pub fn sites_that_read(path: &Path, ignored: &Ignored) -> Vec<PathBuf> {
    match site_of(path) {
        Some(_) => Vec::new(),
        None => readers(&settle(path), ignored),
    }
}

/// The roots of the sites that read what lies at the settled `place`, in the folder of no site.
pub(super) fn readers(place: &Path, ignored: &Ignored) -> Vec<PathBuf> {
    let sites = match top_above(place) {
        Some(top) => sites_below(top, ignored),
        None => place.ancestors().flat_map(sites_in).collect(),
    };
    let mut readers = sites;
    readers.retain(|root| !shared_at(root, place, ignored).is_empty());
    readers.sort();
    readers
}

/// The sites that lie in a folder, one step down.
fn sites_in(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let folders = entries.map(|entry| entry.path());
    folders
        .filter(|folder| is_site(folder) && !folder.is_symlink())
        .collect()
}
