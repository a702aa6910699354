//! Which paths below a site's root belong to it, by name alone.

use globset::{Glob, GlobBuilder, GlobSet, GlobSetBuilder};

use crate::input::{FileGlobs, SITE_FILE, SNAG_FILE, Unread};

/// Folders that other tools fill with what is not definitions.
const PASSED_OVER: [&str; 2] = ["target", "node_modules"];

/// Whether a site may lie in, or reach into, a folder of this name.
pub(super) fn enters(name: &str) -> bool {
    !name.starts_with('.') && !PASSED_OVER.contains(&name)
}

/// The globs of one site, ready for use. Paths are below the root, with forward slashes.
pub(super) struct Sieve {
    take_in: GlobSet,
    leave_out: GlobSet,
}

impl Sieve {
    /// The sieve, and a note for every glob that cannot be understood: what it would have taken in
    /// or left out is not known, so the run is not complete.
    pub(super) fn new(globs: &FileGlobs) -> (Self, Vec<Unread>) {
        let mut notes = Vec::new();
        let take_in = within(&globs.take_in, &mut notes);
        let leave_out = within(&globs.leave_out, &mut notes);
        let take_in = take_in.iter().map(|glob| trim(glob).to_owned());
        let sieve = Self {
            take_in: set(take_in, &mut notes),
            leave_out: set(leave_out.iter().flat_map(|g| leaving(g)), &mut notes),
        };
        (sieve, notes)
    }

    /// Whether files of this folder may belong to the site, the folders above it being decided.
    pub(super) fn enters(&self, folder: &str) -> bool {
        enters(last(folder)) && !self.leave_out.is_match(folder)
    }

    /// Whether this file belongs to the site, the folders above it being decided.
    pub(super) fn takes(&self, file: &str) -> bool {
        let wanted = self.take_in.is_match(file) && !self.leave_out.is_match(file);
        [SITE_FILE, SNAG_FILE].contains(&file) || wanted && !last(file).starts_with('.')
    }

    /// As [`Sieve::enters`], for this folder and all above it.
    pub(super) fn reaches(&self, folder: &str) -> bool {
        let ends = folder.match_indices('/').map(|(at, _)| at);
        ends.chain([folder.len()])
            .all(|end| self.enters(&folder[..end]))
    }

    /// As [`Sieve::takes`], for this file and all folders above it.
    pub(super) fn takes_throughout(&self, file: &str) -> bool {
        let folder = file.rsplit_once('/').map(|(folder, _)| folder);
        folder.is_none_or(|folder| self.reaches(folder)) && self.takes(file)
    }
}

/// Patterns that are held against every file and folder of a site: far more than any site has.
const MOST_PATTERNS: usize = 100;
/// Bytes of one of them.
const LONGEST: usize = 1_000;

/// The patterns, if they are so few that all of them can be held against every file.
fn within<'g>(globs: &'g [String], notes: &mut Vec<Unread>) -> &'g [String] {
    let why = match globs.iter().map(String::len).max() {
        Some(longest) if longest > LONGEST => {
            format!(
                "a pattern under site.files has more than {LONGEST} bytes; none of them is used"
            )
        }
        _ if globs.len() > MOST_PATTERNS => {
            format!(
                "there are more than {MOST_PATTERNS} patterns under site.files; none of them is used"
            )
        }
        _ => return globs,
    };
    notes.push(Unread {
        path: SITE_FILE.to_owned(),
        why,
    });
    &[]
}

fn last(path: &str) -> &str {
    path.rsplit_once('/').map_or(path, |(_, name)| name)
}

/// Globs start at the root, however that is written.
fn trim(glob: &str) -> &str {
    glob.trim_start_matches("./").trim_start_matches('/')
}

/// A glob that leaves out all of a folder leaves out the folder, so that it is not even opened.
fn leaving(glob: &str) -> Vec<String> {
    let whole = trim(glob).trim_end_matches('/');
    let folder = whole.strip_suffix("/**");
    folder
        .into_iter()
        .chain([whole])
        .map(str::to_owned)
        .collect()
}

fn set(globs: impl Iterator<Item = String>, notes: &mut Vec<Unread>) -> GlobSet {
    let mut builder = GlobSetBuilder::new();
    for glob in globs {
        match compile(&glob) {
            Ok(compiled) => drop(builder.add(compiled)),
            Err(why) => notes.push(not_understood(&glob, &why)),
        }
    }
    builder.build().unwrap_or_else(|why| {
        notes.push(not_understood("all globs together", &why));
        GlobSet::empty()
    })
}

/// `*` stays within one folder; `**` crosses folders.
fn compile(glob: &str) -> Result<Glob, globset::Error> {
    GlobBuilder::new(glob).literal_separator(true).build()
}

fn not_understood(glob: &str, why: &globset::Error) -> Unread {
    Unread {
        path: SITE_FILE.to_owned(),
        why: format!(
            "the pattern \"{glob}\" under site.files cannot be understood: {}",
            why.kind()
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sieve(leave_out: &[&str]) -> Sieve {
        let globs = FileGlobs {
            leave_out: leave_out.iter().map(|&glob| glob.to_owned()).collect(),
            ..FileGlobs::default()
        };
        Sieve::new(&globs).0
    }

    #[test]
    fn by_default_yaml_outside_hidden_and_built_folders_is_taken_in() {
        let sieve = sieve(&[]);
        for path in ["a.yaml", "rows/1/a.yml", "targets/a.yaml", "ü/ a.yaml"] {
            assert!(sieve.takes_throughout(path), "{path}");
        }
        for path in [
            "a.yaml.bak",
            "README.md",
            ".a.yaml",
            ".git/a.yaml",
            "x/.y/z/a.yaml",
            "target/a.yaml",
            "x/node_modules/a.yml",
        ] {
            assert!(!sieve.takes_throughout(path), "{path}");
        }
    }

    #[test]
    fn a_folder_is_left_out_however_it_is_written() {
        for glob in [
            "drafts",
            "drafts/",
            "drafts/**",
            "./drafts",
            "/drafts/**",
            "dr*",
        ] {
            let sieve = sieve(&[glob]);
            assert!(!sieve.takes_throughout("drafts/a/b.yaml"), "{glob}");
            assert!(!sieve.enters("drafts"), "{glob}");
            assert!(sieve.takes_throughout("old/drafts/b.yaml"), "{glob}");
        }
    }

    #[test]
    fn a_star_stays_within_its_folder_and_the_site_file_always_counts() {
        let sieve = sieve(&["*.yaml"]);
        assert!(!sieve.takes_throughout("a.yaml"));
        assert!(sieve.takes_throughout("rows/a.yaml"));
        assert!(sieve.takes_throughout(SITE_FILE));
    }

    #[test]
    fn a_glob_that_cannot_be_understood_is_told() {
        let globs = FileGlobs {
            take_in: vec!["**/*.yaml".to_owned(), "rows/[1-".to_owned()],
            leave_out: vec!["{a".to_owned()],
        };
        let (sieve, notes) = Sieve::new(&globs);
        assert_eq!(notes.len(), 2);
        assert!(notes[0].why.contains("rows/[1-"), "{}", notes[0].why);
        assert!(sieve.takes_throughout("rows/a.yaml"));
    }
}
