//! Symbolic links of a site: followed to files inside it, and to nothing else.

use std::path::{Path, PathBuf};

use super::ignored::Within;
use super::paths::shown;
use super::site_paths::SitePaths;
use crate::input::Reason;

/// What to do about a link.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Lead {
    /// Nothing: it leads to what is read under its own name, or to nothing of the site's.
    PassOver(Reason),
    /// Read this file, under the link's name.
    File(PathBuf),
    /// It cannot be followed, and what it leads to may belong to the site.
    Lost(String),
}

/// Where the link at `below` (shown as `name`) leads, in the site at the settled `root`, all of
/// which a walk has met.
pub(super) fn follow(
    root: &Path,
    below: &Path,
    name: &str,
    site_paths: &SitePaths,
    within: &Within<'_>,
) -> Lead {
    let Ok(target) = root.join(below).canonicalize() else {
        return lost_unless(
            site_paths.refuses(name),
            "a link that leads nowhere or in a circle",
        );
    };
    let inside = target.strip_prefix(root).ok();
    let elsewhere = inside.is_none_or(|inside| within.in_nested_site(root, inside));
    // What git has left out is not read under its own name.
    let inside = inside.filter(|_| !within.leaves_out(&target)).map(shown);
    if target.is_dir() {
        let reads = |inside: String| inside == "." || site_paths.reaches(&inside);
        let read_anyway = !elsewhere && inside.is_some_and(reads);
        let why_not = site_paths
            .shuts(name)
            .or(read_anyway.then_some(Reason::Link));
        return lost_unless(why_not, "a link to a folder that is not part of the site");
    }
    if elsewhere {
        return lost_unless(
            site_paths.refuses(name),
            "a link to a file outside the site",
        );
    }
    let read_anyway = inside.is_some_and(|inside| site_paths.takes_throughout(&inside));
    let why_not = site_paths
        .refuses(name)
        .or(read_anyway.then_some(Reason::Link));
    why_not.map_or(Lead::File(target), Lead::PassOver)
}

fn lost_unless(why_not: Option<Reason>, why: &str) -> Lead {
    why_not.map_or_else(
        || Lead::Lost(format!("{why}, so it is not followed")),
        Lead::PassOver,
    )
}
