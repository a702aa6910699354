//! Paths as `file:` URIs and back (RFC 8089, RFC 3986).

use std::path::{Path, PathBuf};
use std::str::FromStr;

use lsp_types::Uri;
use percent_encoding::percent_decode_str;

use crate::ink::{encoded, is_encoded_well};

/// The path of a `file:` URI; `None` for any other.
pub(super) fn to_path(uri: &Uri) -> Option<PathBuf> {
    let rest = uri.as_str().strip_prefix("file://")?;
    // An authority would be another machine.
    let path = rest.strip_prefix("localhost").unwrap_or(rest);
    let path = path.split(['?', '#']).next()?;
    let text = percent_decode_str(path).decode_utf8().ok()?;
    if !is_encoded_well(path) {
        return None;
    }
    let is_drive = cfg!(windows) && text.get(2..3) == Some(":");
    let text = if is_drive { text.get(1..)? } else { &*text };
    text.starts_with('/')
        .then_some(())
        .or(is_drive.then_some(()))?;
    Some(PathBuf::from(text))
}

/// The `file:` URI of an absolute path.
pub(super) fn of_path(path: &Path) -> Option<Uri> {
    let text = path
        .to_str()?
        .replace('\\', if cfg!(windows) { "/" } else { "\\" });
    let slash = if text.starts_with('/') { "" } else { "/" };
    Uri::from_str(&format!("file://{slash}{}", encoded(&text))).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_go_there_and_back() {
        for path in ["/srv/site/a.yaml", "/srv/Løft 2/100 %/a#b?.yaml"] {
            let uri = of_path(Path::new(path)).unwrap();
            assert_eq!(to_path(&uri).unwrap(), Path::new(path), "{}", uri.as_str());
        }
    }

    #[test]
    fn what_is_no_file_has_no_path() {
        for uri in [
            "untitled:a.yaml",
            "https://host/a.yaml",
            "file://host/a.yaml",
        ] {
            assert_eq!(to_path(&Uri::from_str(uri).unwrap()), None, "{uri}");
        }
        for path in ["a%zz.yaml", "a%2.yaml", "a%", "a%+f.yaml", "%ff.yaml"] {
            let uri = Uri::from_str(&format!("file:///srv/{path}"));
            assert_eq!(uri.ok().and_then(|uri| to_path(&uri)), None, "{path}");
        }
        let odd = Uri::from_str("file:///srv/a%2Fb.yaml").unwrap();
        assert_eq!(to_path(&odd).unwrap(), Path::new("/srv/a/b.yaml"));
    }
}
