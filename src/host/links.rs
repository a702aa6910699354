//! Symbolic links of a site: followed to files inside it, and to nothing else.

use std::path::{Path, PathBuf};

use super::paths::{in_nested_site, shown};
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

/// Where the link at `below` (shown as `name`) leads, in the site at the settled `root`.
pub(super) fn follow(root: &Path, below: &Path, name: &str, sieve: &Sieve) -> Lead {
    let Ok(target) = root.join(below).canonicalize() else {
        return lost_if(
            sieve.takes(name),
            "a link that leads nowhere or in a circle",
        );
    };
    let inside = target.strip_prefix(root).ok();
    let elsewhere = inside.is_none_or(|inside| in_nested_site(root, inside));
    let inside = inside.map(shown);
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
