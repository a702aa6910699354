//! Which paths below a site's root belong to it, by name alone.

use std::sync::Arc;

use crate::input::{FileGlobs, PassedOver, Pattern, Reason, SITE_FILE, SNAG_FILE, Unread};

/// Folders that other tools fill with what is not definitions.
const PASSED_OVER: [&str; 2] = ["target", "node_modules"];

/// Whether a site may lie in, or reach into, a folder of this name.
pub(super) fn enters(name: &str) -> bool {
    !name.starts_with('.') && !PASSED_OVER.contains(&name)
}

/// The patterns of one site, ready for use. Paths are below the root, with forward slashes.
pub(super) struct SitePaths {
    take_in: Vec<Pattern>,
    leave_out: Vec<Pattern>,
    besides: Option<Box<Self>>,
}

impl SitePaths {
    /// The site_paths, and a note for every pattern that cannot be understood: what it would have taken
    /// in or left out is not known, so the run is not complete.
    pub(super) fn new(globs: &FileGlobs) -> (Self, Vec<Unread>) {
        let mut notes = Vec::new();
        let take_in = within(&globs.take_in, &mut notes);
        let leave_out = within(&globs.leave_out, &mut notes);
        let besides = globs.besides.as_ref().map(|globs| {
            let (site_paths, more) = Self::new(globs);
            notes.extend(more);
            Box::new(site_paths)
        });
        let site_paths = Self {
            take_in: understood(take_in, Pattern::taking_in, &mut notes),
            leave_out: understood(leave_out, Pattern::leaving_out, &mut notes),
            besides,
        };
        (site_paths, notes)
    }

    /// Why no file of this folder belongs to the site; `None` if any may, the folders above it
    /// being decided.
    pub(super) fn shuts(&self, folder: &str) -> Option<Reason> {
        let besides = || {
            self.besides
                .as_ref()
                .is_some_and(|other| other.enters(folder))
        };
        self.shuts_by_itself(folder).filter(|_| !besides())
    }

    fn shuts_by_itself(&self, folder: &str) -> Option<Reason> {
        let name = last(folder);
        if name.starts_with('.') {
            return Some(Reason::Hidden);
        }
        if !enters(name) {
            return Some(Reason::Built);
        }
        self.leaves_out(folder)
    }

    /// Why this file does not belong to the site; `None` if it does, the folders above it being
    /// decided.
    pub(super) fn refuses(&self, file: &str) -> Option<Reason> {
        match self.besides {
            // A folder may be entered for the other choice's sake alone.
            Some(_) => self.keeps_out(file).map(|kept| kept.why),
            None => self.refuses_by_itself(file),
        }
    }

    fn refuses_by_itself(&self, file: &str) -> Option<Reason> {
        if [SITE_FILE, SNAG_FILE].contains(&file) {
            return None;
        }
        if !self.take_in.iter().any(|pattern| pattern.matches(file)) {
            return Some(Reason::NotTakenIn);
        }
        if last(file).starts_with('.') {
            return Some(Reason::Hidden);
        }
        self.leaves_out(file)
    }

    fn leaves_out(&self, path: &str) -> Option<Reason> {
        let meant = self.leave_out.iter();
        let meant = meant.filter(|pattern| pattern.matches(path));
        let texts: Vec<Arc<str>> = meant.map(|pattern| Arc::clone(&pattern.text)).collect();
        (!texts.is_empty()).then_some(Reason::LeftOut(texts))
    }

    /// Whether files of this folder may belong to the site, the folders above it being decided.
    pub(super) fn enters(&self, folder: &str) -> bool {
        self.shuts(folder).is_none()
    }

    /// As [`SitePaths::enters`], for this folder and all above it.
    pub(super) fn reaches(&self, folder: &str) -> bool {
        ends(folder).all(|end| self.enters(&folder[..end]))
    }

    /// What keeps this file out, itself or a folder above it; `None` if it belongs to the site.
    pub(super) fn keeps_out(&self, file: &str) -> Option<PassedOver> {
        let folders = file.match_indices('/').map(|(at, _)| at);
        let shut = |end: usize| Some((&file[..=end], self.shuts_by_itself(&file[..end])?));
        let kept = folders.filter_map(shut).next();
        let (path, why) = kept.or_else(|| Some((file, self.refuses_by_itself(file)?)))?;
        let besides = || {
            self.besides
                .as_ref()
                .is_some_and(|other| other.takes_throughout(file))
        };
        (!besides()).then(|| PassedOver {
            path: path.to_owned(),
            why,
        })
    }

    /// Whether this file belongs to the site: itself, and all folders above it.
    pub(super) fn takes_throughout(&self, file: &str) -> bool {
        self.keeps_out(file).is_none()
    }
}

/// The patterns, if they are so few that all of them can be held against every file.
fn within<'g>(globs: &'g [String], notes: &mut Vec<Unread>) -> &'g [String] {
    let Some(why) = Pattern::too_much(globs.iter().map(String::as_str)) else {
        return globs;
    };
    notes.push(Unread {
        path: SITE_FILE.to_owned(),
        why,
    });
    &[]
}

/// A choice of files, ready to be asked about many.
pub struct Choice(SitePaths);

impl Choice {
    /// That of these patterns.
    pub fn of(globs: &FileGlobs) -> Self {
        Self(SitePaths::new(globs).0)
    }

    /// Whether it takes in the file at a path below the root.
    pub fn takes_in(&self, path: &str) -> bool {
        self.0.takes_throughout(path)
    }
}

/// Where the folders of a path end, from the top down.
fn ends(folder: &str) -> impl Iterator<Item = usize> + '_ {
    let inner = folder.match_indices('/').map(|(at, _)| at);
    inner.chain([folder.len()])
}

fn last(path: &str) -> &str {
    path.rsplit_once('/').map_or(path, |(_, name)| name)
}

fn understood(
    texts: &[String],
    read: impl Fn(&str) -> Result<Pattern, String>,
    notes: &mut Vec<Unread>,
) -> Vec<Pattern> {
    let mut patterns = Vec::new();
    for text in texts {
        match read(text) {
            Ok(pattern) => patterns.push(pattern),
            Err(why) => notes.push(Unread {
                path: SITE_FILE.to_owned(),
                why: format!("the pattern \"{text}\" under site.files cannot be understood: {why}"),
            }),
        }
    }
    patterns
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site_paths(leave_out: &[&str]) -> SitePaths {
        let globs = FileGlobs {
            leave_out: leave_out.iter().map(|&glob| glob.to_owned()).collect(),
            ..FileGlobs::default()
        };
        SitePaths::new(&globs).0
    }

    #[test]
    fn by_default_yaml_outside_hidden_and_built_folders_is_taken_in() {
        let site_paths = site_paths(&[]);
        for path in [
            "a.yaml",
            "rows/1/a.yml",
            "targets/a.yaml",
            "ü/ a.yaml",
            "A.YAML",
            "rows/a.Yml",
        ] {
            assert!(site_paths.takes_throughout(path), "{path}");
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
            assert!(!site_paths.takes_throughout(path), "{path}");
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
            let site_paths = site_paths(&[glob]);
            assert!(!site_paths.takes_throughout("drafts/a/b.yaml"), "{glob}");
            assert!(!site_paths.enters("drafts"), "{glob}");
            assert!(site_paths.takes_throughout("old/drafts/b.yaml"), "{glob}");
        }
    }

    #[test]
    fn a_star_stays_within_its_folder_and_the_site_file_always_counts() {
        let site_paths = site_paths(&["*.yaml"]);
        assert!(!site_paths.takes_throughout("a.yaml"));
        assert!(site_paths.takes_throughout("rows/a.yaml"));
        assert!(site_paths.takes_throughout(SITE_FILE));
    }

    #[test]
    fn what_keeps_a_file_out_is_named_with_its_patterns() {
        let site_paths = site_paths(&["old/**", "**/draft*", "dr*/*"]);
        for (file, path, why) in [
            (
                "old/draft/a.yaml",
                "old/",
                Reason::LeftOut(vec!["old/**".into()]),
            ),
            (
                "drafts/a.yaml",
                "drafts/",
                Reason::LeftOut(vec!["**/draft*".into()]),
            ),
            (
                "dry/draft.yaml",
                "dry/draft.yaml",
                Reason::LeftOut(vec!["**/draft*".into(), "dr*/*".into()]),
            ),
            ("rows/.git/a.yaml", "rows/.git/", Reason::Hidden),
            ("rows/.a.yaml", "rows/.a.yaml", Reason::Hidden),
            ("target/a.yaml", "target/", Reason::Built),
            ("rows/a.yaml.bak", "rows/a.yaml.bak", Reason::NotTakenIn),
        ] {
            let kept = site_paths.keeps_out(file).expect(file);
            assert_eq!((kept.path.as_str(), kept.why), (path, why), "{file}");
        }
        assert_eq!(site_paths.keeps_out("rows/a.yaml"), None);
    }

    #[test]
    fn a_glob_that_cannot_be_understood_is_told() {
        let globs = FileGlobs {
            take_in: vec!["**/*.yaml".to_owned(), "rows/[1-".to_owned()],
            leave_out: vec!["{a".to_owned()],
            ..FileGlobs::default()
        };
        let (site_paths, notes) = SitePaths::new(&globs);
        assert_eq!(notes.len(), 2);
        assert!(notes[0].why.contains("rows/[1-"), "{}", notes[0].why);
        assert!(site_paths.takes_throughout("rows/a.yaml"));
    }

    #[test]
    fn what_another_choice_takes_in_is_taken_as_well() {
        let other = FileGlobs {
            leave_out: vec!["old".to_owned(), "rows/b.yaml".to_owned()],
            ..FileGlobs::default()
        };
        let globs = FileGlobs {
            leave_out: vec!["rows".to_owned(), "a.yaml".to_owned()],
            besides: Some(Box::new(other)),
            ..FileGlobs::default()
        };
        let (site_paths, _) = SitePaths::new(&globs);
        for path in ["a.yaml", "rows/a.yaml", "old/a.yaml"] {
            assert!(
                site_paths.refuses(path).is_none() && site_paths.takes_throughout(path),
                "{path}"
            );
        }
        assert!(site_paths.enters("rows") && site_paths.enters("old"));
        // Left out by each for a reason of its own.
        assert!(site_paths.refuses("rows/b.yaml").is_some());
        let choice = Choice::of(&globs);
        assert!(!choice.takes_in("rows/b.yaml") && choice.takes_in("rows/c.yaml"));
    }
}
