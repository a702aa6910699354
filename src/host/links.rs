//! Symbolic links of a site: followed to files inside it, and to nothing else.

use std::path::{Path, PathBuf};

use super::ignored::Within;
use super::paths::shown;
use super::sieve::Sieve;

/// What to do about a link.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Lead {
    /// Nothing: it leads to what is read under its own name, or to nothing of the site's.
    PassOver,
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
    sieve: &Sieve,
    within: &Within<'_>,
) -> Lead {
    let Ok(target) = root.join(below).canonicalize() else {
        return lost_if(
            sieve.takes(name),
            "a link that leads nowhere or in a circle",
        );
    };
    let inside = target.strip_prefix(root).ok();
    let elsewhere = inside.is_none_or(|inside| within.in_nested_site(root, inside));
    // What git has left out is not read under its own name.
    let inside = inside.filter(|_| !within.leaves_out(&target)).map(shown);
    if target.is_dir() {
        let read_anyway = inside.is_some_and(|inside| inside == "." || sieve.reaches(&inside));
        let lost = sieve.enters(name) && (elsewhere || !read_anyway);
        return lost_if(lost, "a link to a folder that is not part of the site");
    }
    if elsewhere {
        return lost_if(sieve.takes(name), "a link to a file outside the site");
    }
    let read_anyway = inside.is_some_and(|inside| sieve.takes_throughout(&inside));
    match sieve.takes(name) && !read_anyway {
        true => Lead::File(target),
        false => Lead::PassOver,
    }
}

fn lost_if(lost: bool, why: &str) -> Lead {
    if lost {
        Lead::Lost(format!(
            "{why}, so it is not followed; site.files.leave-out can leave it out"
        ))
    } else {
        Lead::PassOver
    }
}
