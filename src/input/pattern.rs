//! Patterns of `site.files`: which paths they mean.

use std::sync::Arc;

use globset::{Glob, GlobBuilder, GlobMatcher};

/// A pattern, ready for use. Paths are below the site's root, with forward slashes.
#[derive(Clone, Debug)]
pub struct Pattern {
    /// As it is written.
    pub text: Arc<str>,
    globs: Vec<GlobMatcher>,
}

/// Patterns that are held against every file and folder of a site: far more than any site has.
const MOST: usize = 100;
/// Bytes of one of them.
const LONGEST: usize = 1_000;

impl Pattern {
    /// Why so many patterns are not held against every file; `None` if they are.
    pub fn too_much<'g>(texts: impl Iterator<Item = &'g str>) -> Option<String> {
        let (mut count, mut longest) = (0, 0);
        for text in texts {
            count += 1;
            longest = text.len().max(longest);
        }
        let what = match count > MOST {
            _ if longest > LONGEST => {
                format!("a pattern under site.files has more than {LONGEST} bytes")
            }
            true => format!("there are more than {MOST} patterns under site.files"),
            false => return None,
        };
        Some(format!("{what}; none of them is used"))
    }

    /// A pattern that takes files in.
    ///
    /// # Errors
    /// What cannot be understood about it, in the words of the library.
    pub fn taking_in(text: &str) -> Result<Self, String> {
        Self::of(text, [trim(text)])
    }

    /// A pattern that leaves files and folders out. One that leaves out all of a folder leaves out
    /// the folder, so that it is not even opened.
    ///
    /// # Errors
    /// What cannot be understood about it, in the words of the library.
    pub fn leaving_out(text: &str) -> Result<Self, String> {
        let whole = trim(text).trim_end_matches('/');
        Self::of(text, whole.strip_suffix("/**").into_iter().chain([whole]))
    }

    fn of<'g>(text: &str, globs: impl IntoIterator<Item = &'g str>) -> Result<Self, String> {
        let matchers = globs
            .into_iter()
            .map(|glob| Ok(compile(glob)?.compile_matcher()));
        let globs: Result<_, globset::Error> = matchers.collect();
        Ok(Self {
            text: text.into(),
            globs: globs.map_err(|why| why.kind().to_string())?,
        })
    }

    /// Whether a path is meant.
    pub fn matches(&self, path: &str) -> bool {
        self.globs.iter().any(|glob| glob.is_match(path))
    }
}

/// Patterns start at the root, however that is written.
fn trim(text: &str) -> &str {
    text.trim_start_matches("./").trim_start_matches('/')
}

/// `*` stays within one folder; `**` crosses folders.
fn compile(glob: &str) -> Result<Glob, globset::Error> {
    GlobBuilder::new(glob).literal_separator(true).build()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_start_at_the_root_and_a_star_stays_in_its_folder() {
        let rows = Pattern::taking_in("./rows/*.yaml").unwrap();
        assert!(rows.matches("rows/a.yaml"));
        assert!(!rows.matches("rows/1/a.yaml") && !rows.matches("old/rows/a.yaml"));
    }

    #[test]
    fn leaving_out_all_of_a_folder_leaves_out_the_folder() {
        for text in ["drafts", "drafts/", "drafts/**", "/drafts/**"] {
            assert!(
                Pattern::leaving_out(text).unwrap().matches("drafts"),
                "{text}"
            );
        }
        assert!(!Pattern::leaving_out("drafts/*").unwrap().matches("drafts"));
    }

    #[test]
    fn a_pattern_that_cannot_be_understood_says_why() {
        let why = Pattern::taking_in("rows/[1-").unwrap_err();
        assert!(why.contains("unclosed"), "{why}");
    }
}
