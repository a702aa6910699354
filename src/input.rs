//! A site as bytes: what the host hands to the core.

mod catalogue;
mod passed_over;
mod pattern;

use rustc_hash::FxHashMap;

pub use catalogue::{MOST_CATALOGUES, NotRead, Way, is_shared, joined};
pub use passed_over::{PassedOver, Reason};
pub use pattern::Pattern;

/// The name of the file that makes a folder a site.
pub const SITE_FILE: &str = "cordwright.yaml";
/// The name of a site's snag list, beside that file: findings accepted as known.
pub const SNAG_FILE: &str = "cordwright-snags.txt";

/// The name of the files in which a tree says what git is to ignore.
pub const IGNORE_FILE: &str = ".gitignore";

/// Which files below a site's root belong to it (`site.files` of the format).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileGlobs {
    /// Files that any of these match are read.
    pub take_in: Vec<String>,
    /// Unless any of these match them or a folder above them.
    pub leave_out: Vec<String>,
    /// Folders outside of the site whose definitions are read with it, as they are named.
    pub catalogues: Vec<String>,
    /// What another choice takes in is read as well: a change may not put out of sight what the state
    /// before it had in sight.
    pub besides: Option<Box<FileGlobs>>,
}

impl Default for FileGlobs {
    fn default() -> Self {
        Self {
            // `.yaml` and `.yml`, in letters of any case.
            take_in: vec![
                "**/*.[Yy][Aa][Mm][Ll]".to_owned(),
                "**/*.[Yy][Mm][Ll]".to_owned(),
            ],
            leave_out: Vec::new(),
            catalogues: Vec::new(),
            besides: None,
        }
    }
}

/// A file or folder in reach of the site that could not be read: the run is not complete.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unread {
    /// Path below the site's root, with forward slashes.
    pub path: String,
    /// Why, in plain words.
    pub why: String,
}

/// The files of one site, before anyone has looked into them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SiteInput {
    /// Paths from the site's root, with forward slashes, sorted and unique; and the bytes. Those of
    /// catalogues begin with the way up.
    pub files: Vec<(String, Vec<u8>)>,
    /// What could not be read, sorted.
    pub unread: Vec<Unread>,
    /// What was not read, sorted: it is no part of the site, and the run is complete without it.
    pub passed_over: Vec<PassedOver>,
}

impl SiteInput {
    /// The same with other texts for some of its files.
    #[must_use]
    pub(crate) fn with_texts(mut self, texts: &[(String, String)]) -> Self {
        let texts = texts.iter().map(|(path, text)| (path.as_str(), text));
        let texts: FxHashMap<&str, &String> = texts.collect();
        for (path, bytes) in &mut self.files {
            if let Some(text) = texts.get(path.as_str()) {
                *bytes = (*text).clone().into_bytes();
            }
        }
        self
    }
}
