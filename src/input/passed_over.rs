//! What lies in the site's folder and is not judged, and why.

use std::fmt;
use std::sync::Arc;

use super::NotRead;

/// A file or folder that is not judged.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PassedOver {
    /// Path below the site's root, with forward slashes; a folder, with a slash at its end, stands
    /// for all that is in it.
    pub path: String,
    /// Why.
    pub why: Reason,
}

impl PassedOver {
    /// Whether the file or folder at `path` is this one, or lies in it.
    pub fn holds(&self, path: &str) -> bool {
        let rest = path.strip_prefix(self.path.trim_end_matches('/'));
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    }

    /// Whether it would be read if nobody asked git.
    pub fn is_for_git(&self) -> bool {
        matches!(self.why, Reason::Ignored | Reason::WorkTree)
    }
}

/// Why a file or folder is not judged.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// It was read, and holds no section of ours.
    NoSection,
    /// It was read and is no YAML that can be read, nor does it look as if it held a section of ours.
    Garbled,
    /// These patterns of `site.files` leave it out.
    LeftOut(Vec<Arc<str>>),
    /// No pattern takes it in.
    NotTakenIn,
    /// Its name begins with a dot.
    Hidden,
    /// A folder that other tools fill.
    Built,
    /// A site of its own, which is judged as such.
    NestedSite,
    /// A link to what is read in its own place.
    Link,
    /// Git ignores it, and does not track it.
    Ignored,
    /// Another work tree of a repository.
    WorkTree,
    /// It is named as a catalogue and cannot be one; the path is what is named.
    Catalogue(NotRead),
}

/// Patterns that are named as the reason; each of many files may have them all.
const MOST_NAMED: usize = 3;

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoSection => "holds no section of a site",
            Self::Garbled => {
                "cannot be read as YAML in UTF-8, and no line of it begins like a section of a site"
            }
            Self::LeftOut(patterns) => {
                let shown = patterns.iter().take(MOST_NAMED);
                let mut quoted: Vec<String> = shown.map(|p| format!("\"{p}\"")).collect();
                match patterns.len().saturating_sub(MOST_NAMED) {
                    0 => {}
                    more => quoted.push(format!("{more} more")),
                }
                return write!(f, "left out by {} under site.files", quoted.join(" and "));
            }
            Self::Catalogue(why) => return write!(f, "no catalogue is read there: {why}"),
            Self::NotTakenIn => "its name is none that site.files takes in",
            Self::Hidden => "its name begins with a dot",
            Self::Built => "a folder that other tools fill",
            Self::NestedSite => "a site of its own",
            Self::Link => "a link to what is read in its own place",
            Self::Ignored => "git ignores it, and does not track it",
            Self::WorkTree => "a work tree of its own that the one around it does not track",
        })
    }
}
