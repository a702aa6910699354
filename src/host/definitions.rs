//! Files that must not give way to what a command makes: definitions, and a site's own files.

use std::path::Path;

use super::catalogues::sites_that_read;
use super::find::site_of;
use super::ignored::Ignored;
use super::paths::{relative, settle, shown};
use super::read::{FILE_LIMIT, read_site_to_write};
use super::streams::read_file;
use crate::input::{FileGlobs, SITE_FILE, SNAG_FILE};

/// What would be lost if the file at `path` were written over, in words; `None` if nothing is that a
/// site needs. `globs_of` finds `site.files` in a site's own file, and `may_define` tells whether
/// bytes may hold definitions.
pub fn lost_by_writing(
    path: &Path,
    globs_of: &dyn Fn(&[u8]) -> FileGlobs,
    may_define: &dyn Fn(Vec<u8>) -> bool,
) -> Option<String> {
    let name = path.file_name()?.to_string_lossy();
    if name.eq_ignore_ascii_case(SITE_FILE) {
        return Some("this name is kept for the file that makes a folder a site".to_owned());
    }
    if name.eq_ignore_ascii_case(SNAG_FILE) {
        return Some("this name is kept for a site's snag list".to_owned());
    }
    let about = path.metadata().ok().filter(std::fs::Metadata::is_file)?;
    let Some(root) = site_of(path) else {
        let is_shared = || !sites_that_read(path, &Ignored::nothing()).is_empty();
        let may_be_lost = is_yaml(&name) && is_shared();
        return may_be_lost.then(|| "it lies in a catalogue that sites read".to_owned());
    };
    let is_long = about.len() > FILE_LIMIT;
    // What git ignores may be read with all files.
    let originals = || read_site_to_write(&root, globs_of, &Ignored::nothing()).1;
    let is_read = || originals().has(&settle(path));
    if is_long || !is_yaml(&name) && !is_read() {
        return None;
    }
    let may_be_lost = read_file(path).map_or(true, may_define);
    let root = shown(&relative(&settle(Path::new(".")), &root));
    may_be_lost.then(|| format!("it may hold definitions of the site at {root}"))
}

fn is_yaml(name: &str) -> bool {
    let ending = Path::new(name).extension();
    ending.is_some_and(|ending| {
        ending.eq_ignore_ascii_case("yaml") || ending.eq_ignore_ascii_case("yml")
    })
}
