//! Catalogues that sites share: folders outside of a site whose definitions are read with it.

use std::fmt;

/// What leads to the folder above.
const UP: &str = "..";

/// Catalogues that one site may read: more than any has.
pub const MOST_CATALOGUES: usize = 20;

/// Whether a file or folder, by its path from the root of a site, lies outside of the site: in a
/// catalogue, which other sites may read as well.
pub fn is_shared(path: &str) -> bool {
    let rest = path.strip_prefix(UP);
    rest.is_some_and(|rest| rest.starts_with('/'))
}

/// A path from the root of a site as one from where the way to the root begins: `../types/a.yaml` of
/// the site in `sites/quay` is `sites/types/a.yaml`.
pub fn joined(root: &str, path: &str) -> String {
    if matches!(root, "" | ".") {
        return path.to_owned();
    }
    let mut folders: Vec<&str> = root.trim_end_matches('/').split('/').collect();
    let mut rest = path;
    let is_name = |folder: &&str| !matches!(*folder, "" | "." | UP);
    while let Some(below) = rest.strip_prefix("../")
        && folders.last().is_some_and(is_name)
    {
        folders.pop();
        rest = below;
    }
    folders.push(rest);
    folders.join("/")
}

/// The way from a site's folder to a catalogue, straightened: up first, then down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// How many folders it goes up: one at least.
    pub up: usize,
    /// The folders that it then goes down.
    pub down: Vec<String>,
}

impl Way {
    /// The way that `site.files.catalogues` names by `text`.
    ///
    /// # Errors
    /// Why no catalogue can lie there.
    pub fn of(text: &str) -> Result<Self, NotRead> {
        if text.starts_with(['/', '\\', '~']) || text.contains(':') {
            return Err(NotRead::NoWay);
        }
        let mut way = Self {
            up: 0,
            down: Vec::new(),
        };
        for folder in text.split('/') {
            match folder {
                "" | "." => {}
                UP if way.down.pop().is_some() => {}
                UP => way.up += 1,
                name => way.down.push(name.to_owned()),
            }
        }
        match way.up {
            0 => Err(NotRead::Own),
            _ => Ok(way),
        }
    }
}

/// As the paths of the files in it begin.
impl fmt::Display for Way {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let up = std::iter::repeat_n(UP, self.up);
        let folders: Vec<&str> = up.chain(self.down.iter().map(String::as_str)).collect();
        f.write_str(&folders.join("/"))
    }
}

/// Why nothing is read in a folder that is named as a catalogue.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NotRead {
    /// It is named otherwise than by a way from the site's folder.
    NoWay,
    /// The site's own folder, or one in it.
    Own,
    /// A folder that the site itself lies in.
    Around,
    /// It lies in the folder of a site.
    OfASite,
    /// The way leads out of the repository.
    Outside,
    /// There is no repository, and the way leads further up than one folder.
    TooHigh,
    /// It is the folder that is named by these words, lies in it, or around it.
    Again(String),
    /// There is nothing.
    Missing,
    /// There is something else than a folder.
    NoFolder,
    /// The way leads over a link.
    Link,
    /// A folder on the way has a name behind which no definitions are looked for.
    Hidden,
    /// Git ignores it, or it is a work tree of its own.
    LeftOut,
    /// The system does not let anybody in, in its words.
    Barred(String),
    /// More are named before it than are read.
    TooMany,
    /// It is named in another file than the site's own.
    Elsewhere,
    /// It was looked into, and holds no definition.
    Nothing,
}

impl fmt::Display for NotRead {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoWay => "it is no way from the site's folder",
            Self::Own => "it lies in the site's own folder, and is read as a part of the site",
            Self::Around => "the site itself lies in it",
            Self::OfASite => "it lies in the folder of a site, whose own it is",
            Self::Outside => "it lies outside of the repository",
            Self::TooHigh => "without a repository, no catalogue is read above the folder in which the site's folder lies",
            Self::Again(first) => return write!(f, "`{first}` names the same, or a folder in it or around it"),
            Self::Missing => "there is no such folder",
            Self::NoFolder => "it is no folder",
            Self::Link => "the way there leads over a link, and links are not followed",
            Self::Hidden => "nothing is read behind names that begin with a dot, nor in target and node_modules",
            Self::LeftOut => "git ignores it and does not track it",
            Self::Barred(why) => return write!(f, "it cannot be looked into: {why}"),
            Self::TooMany => return write!(f, "more than {MOST_CATALOGUES} catalogues are named"),
            Self::Elsewhere => "catalogues are read as cordwright.yaml names them, and it is another file that names this one",
            Self::Nothing => "no file in it holds a model or type",
        })
    }
}

impl NotRead {
    /// Whether definitions may stand there that are not read.
    pub fn hides(&self) -> bool {
        !matches!(self, Self::Own | Self::Again(_))
    }

    /// What to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::NoWay => {
                "Name it from the site's folder, with forward slashes, as in `../catalogue`."
            }
            Self::Own | Self::Again(_) => "Take this entry out.",
            Self::Around | Self::OfASite => {
                "Put what is shared into a folder beside the sites, as in `../catalogue`, and name that."
            }
            Self::Outside => {
                "Bring the catalogue into the repository: what is judged must be the same for everybody."
            }
            Self::TooHigh => {
                "Put the catalogue beside the site's folder, or the whole into a git repository."
            }
            Self::Missing | Self::NoFolder | Self::Hidden => {
                "Correct the name. It starts at the site's folder: `../catalogue` lies beside that."
            }
            Self::Link => "Name the folder itself.",
            Self::LeftOut => "Add its files to the repository, or check with --all-files.",
            Self::Barred(_) => "See to it that the folder can be read.",
            Self::TooMany => "Put the catalogues together.",
            Self::Elsewhere => "Move the section `site` into cordwright.yaml.",
            Self::Nothing => "Correct the name, or take the entry out.",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_are_straightened() {
        let way = |text: &str| Way::of(text).map(|way| way.to_string());
        assert_eq!(way("../catalogue"), Ok("../catalogue".into()));
        assert_eq!(way("./x/..//../a/./b/"), Ok("../a/b".into()));
        assert_eq!(way("../a/../../b"), Ok("../../b".into()));
        assert_eq!(way(".."), Ok("..".into()));
        for own in ["", ".", "types", "a/..", "types/../models"] {
            assert_eq!(way(own), Err(NotRead::Own), "{own}");
        }
        for none in ["/etc", "~/x", "C:/x", "\\\\host\\x", "file:///etc"] {
            assert_eq!(way(none), Err(NotRead::NoWay), "{none}");
        }
    }

    #[test]
    fn paths_out_of_a_site_are_told_from_where_one_is() {
        for (root, path, whole) in [
            ("sites/quay", "a.yaml", "sites/quay/a.yaml"),
            ("sites/quay", "../types/a.yaml", "sites/types/a.yaml"),
            ("sites/quay/", "../../a.yaml", "a.yaml"),
            ("quay", "../../a.yaml", "../a.yaml"),
            (".", "../a.yaml", "../a.yaml"),
            ("../quay", "../../a.yaml", "../../a.yaml"),
            ("/srv/quay", "../types/a.yaml", "/srv/types/a.yaml"),
            ("/", "a.yaml", "/a.yaml"),
        ] {
            assert_eq!(joined(root, path), whole, "{root} {path}");
        }
    }

    #[test]
    fn what_is_shared_begins_with_the_way_up() {
        assert!(is_shared("../types/a.yaml"));
        assert!(!is_shared("..a.yaml") && !is_shared("a/../b.yaml") && !is_shared(".."));
    }
}
