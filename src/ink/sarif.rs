//! The messages of a SARIF log.

use super::escape::Escape;
use super::harm::one_line;

/// A message of a SARIF log: plain text in which square brackets make links (SARIF 2.1.0, 3.11.6).
///
/// ```compile_fail
/// use cordwright::ink::{Sarif, Written};
/// let name = String::from("[here](https://example.org)");
/// Written::<Sarif>::new().ours(&name);
/// ```
///
/// ```
/// use cordwright::ink::{Sarif, Written};
/// let name = String::from("[here](https://example.org)");
/// assert_eq!(Written::<Sarif>::of(&name).as_str(), r"\[here\](https://example.org)");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Sarif;

impl Escape for Sarif {
    fn put(text: &str, written: &mut String) {
        for c in one_line(text).chars() {
            if matches!(c, '[' | ']' | '\\') {
                written.push('\\');
            }
            written.push(c);
        }
    }
}
