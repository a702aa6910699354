//! JSON, for programs: nothing is lost, and nothing steers a terminal that it is shown in.

use std::fmt::Write as _;

use serde::Serialize;

use super::Written;
use super::harm::looked_at;

/// A JSON document. Characters that do harm are written by their numbers, as in `\u202e`.
///
/// ```compile_fail
/// use cordwright::ink::{Json, Written};
/// let name = String::from("\"}");
/// Written::<Json>::new().ours(&name);
/// ```
///
/// ```
/// use cordwright::ink::{Json, Written};
/// let name = String::from("\"}\u{202e}");
/// assert_eq!(Written::<Json>::document(&name).as_str(), "\"\\\"}\\u202e\"\n");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Json;

impl Written<Json> {
    /// The document of a value; ends with a line feed.
    pub fn document(value: &impl Serialize) -> Self {
        // Only a map with keys that are no texts cannot be written, and nothing here holds one.
        let raw = serde_json::to_string_pretty(value).unwrap_or_default();
        let mut text = String::with_capacity(raw.len() + 1);
        let mut from = 0;
        // The only line feeds are those of the layout: in a text they are escaped.
        for (at, c, _) in looked_at(&raw).filter(|(_, c, harms)| *harms && *c != '\n') {
            text.push_str(&raw[from..at]);
            for unit in c.encode_utf16(&mut [0; 2]) {
                // Writing into a text cannot fail.
                let _ = write!(text, "\\u{unit:04x}");
            }
            from = at + c.len_utf8();
        }
        text.push_str(&raw[from..]);
        text.push('\n');
        Self::made(text)
    }
}
