//! JSON, for programs: nothing is lost, and nothing steers a terminal that it is shown in.

use std::fmt::Write as _;

use serde::Serialize;

use super::Written;
use super::harm::{ends_a_command_mark, looked_at};

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
        let mut raw = serde_json::to_string_pretty(value).unwrap_or_default();
        raw.push('\n');
        let mut text = String::new();
        let mut from = 0;
        for (at, c) in by_numbers(&raw) {
            text.push_str(&raw[from..at]);
            for unit in c.encode_utf16(&mut [0; 2]) {
                // Writing into a text cannot fail.
                let _ = write!(text, "\\u{unit:04x}");
            }
            from = at + c.len_utf8();
        }
        if from == 0 {
            return Self::made(raw);
        }
        text.push_str(&raw[from..]);
        Self::made(text)
    }
}

/// The characters of a document that are written by their numbers: what does harm, and what makes a
/// command in the log of a build server. The only raw line feeds are those of the layout.
fn by_numbers(document: &str) -> impl Iterator<Item = (usize, char)> {
    let looked = looked_at(document).filter(|(at, c, harms)| {
        *harms && *c != '\n' || *c == '#' && ends_a_command_mark(&document[..*at], &document[*at..])
    });
    looked.map(|(at, c, _)| (at, c))
}
