//! What a name means that a revision begins with. Whoever can push a tag can give it the name of a
//! branch, and git then takes the tag without a word.

use crate::failure::Failure;

use super::cannot_compare;
use super::run::{LIST_LIMIT, Repository};

/// Where git looks for a name, and what stands behind it there (gitrevisions, "refname").
const PLACES: [(&str, &str); 5] = [
    ("refs/", ""),
    ("refs/tags/", ""),
    ("refs/heads/", ""),
    ("refs/remotes/", ""),
    ("refs/remotes/", "/HEAD"),
];
/// Hexadecimal digits of a whole id.
const WHOLE: [usize; 2] = [40, 64];

/// Refuses a revision whose name several branches and tags have, and one that might as well be the
/// beginning of an id.
///
/// # Errors
/// The revision is such a one, or git cannot be run.
pub(super) fn must_be_clear(repository: &Repository, rev: &str) -> Result<(), Failure> {
    let name = rev.split(['~', '^', ':', '@']).next().unwrap_or(rev);
    let is_id = name.bytes().all(|byte| byte.is_ascii_hexdigit());
    if name.is_empty() || is_id && WHOLE.contains(&name.len()) {
        return Ok(());
    }
    let meant = PLACES.map(|(before, behind)| format!("{before}{name}{behind}"));
    let words = ["for-each-ref", "--format=%(refname)", "--"].map(str::to_owned);
    let words = words.into_iter().chain(meant.iter().cloned());
    let told = repository
        .ask(words.collect::<Vec<_>>(), LIST_LIMIT)
        .map_err(cannot_compare)?;
    let told = String::from_utf8_lossy(&told);
    let found: Vec<&str> = told
        .lines()
        .filter(|line| meant.iter().any(|name| name == line))
        .collect();
    match found.as_slice() {
        [] => Ok(()),
        [_] if !is_id => Ok(()),
        [first, ..] => Err(Failure::new(format!(
            "cannot compare: \"{rev}\" may mean several things here: {}{}",
            found.join(", "),
            if is_id { ", or a commit" } else { "" }
        ))
        .advise(format!(
            "Write the one that is meant in full, such as {first}."
        ))),
    }
}
