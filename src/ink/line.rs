//! Lines that editors and build servers read: `path:line:column: …`.

use super::Written;
use super::escape::Escape;
use super::harm::{ends_a_command_mark, looked_at, one_line};
use super::plain::put_without_commands;
use super::uri::percent;

/// Lines in the error form of the GNU Coding Standards. Names are words there: no line ends early or is
/// a command to a build server.
///
/// ```compile_fail
/// use cordwright::ink::{Line, Written};
/// let path = String::from("::error file=x::");
/// Written::<Line>::new().ours(&path).ours(":1:1: note: …");
/// ```
///
/// ```
/// use cordwright::ink::{Line, Written};
/// let path = String::from("::error file=x::");
/// let mut line = Written::<Line>::new();
/// line.place(&path, 1, 2).ours(": note");
/// assert_eq!(line.as_str(), "./::error file=x:::1:2: note");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line;

impl Escape for Line {
    fn put(text: &str, written: &mut String) {
        put_without_commands(&one_line(text), written);
    }
}

impl Written<Line> {
    /// Adds `path:line:column`, the path whole. An honest path stands as it is. One that would begin a
    /// command gets `./` before it; what would break the line, steer a terminal, begin another command
    /// or be read as a line number is percent-encoded, and so is a `%` that would be taken for such.
    pub fn place(&mut self, path: &str, line: usize, column: usize) -> &mut Self {
        if path.starts_with(|c: char| c == ':' || c.is_whitespace()) {
            self.ours("./");
        }
        for (at, c, harms) in looked_at(path) {
            let rest = &path[at..];
            if harms || is_mistaken(&path[..at], rest) {
                percent(c, &mut self.text);
            } else {
                self.text.push(c);
            }
        }
        self.ours(":").number(line).ours(":").number(column)
    }
}

/// Whether the first character of the rest of a path would be taken for something else there.
fn is_mistaken(before: &str, rest: &str) -> bool {
    let next = |is: fn(&u8) -> bool, at: usize| rest.as_bytes().get(at).is_some_and(is);
    match rest.as_bytes().first() {
        Some(b':') => next(u8::is_ascii_digit, 1),
        Some(b'%') => next(u8::is_ascii_hexdigit, 1) && next(u8::is_ascii_hexdigit, 2),
        Some(b'#') => ends_a_command_mark(before, rest),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(path: &str) -> String {
        let mut line = Written::new();
        line.place(path, 7, 12);
        line.into_string()
    }

    #[test]
    fn honest_paths_stand_as_they_are() {
        for path in [
            "a.yaml",
            "/srv/hall 2/løft.yaml",
            "C:/site/100 %/a#b.yaml",
            "../x: y/-z.yaml",
            "電源/50%-rack.yaml",
        ] {
            assert_eq!(place(path), format!("{path}:7:12"));
        }
    }

    #[test]
    fn hostile_paths_are_told_apart_and_command_nothing() {
        for (path, shown) in [
            ("::error file=x::.yaml", "./::error file=x::.yaml"),
            (" ::error::.yaml", "./ ::error::.yaml"),
            ("a\n::error::.yaml", "a%0A::error::.yaml"),
            ("a%0A::error::.yaml", "a%250A::error::.yaml"),
            ("##[error]x.yaml", "#%23[error]x.yaml"),
            ("a/##vso[task.x]y", "a/#%23vso[task.x]y"),
            (
                "b.yaml:3:1: error: x [y].yaml",
                "b.yaml%3A3%3A1: error: x [y].yaml",
            ),
            ("a\u{202e}b\u{2028}c", "a%E2%80%AEb%E2%80%A8c"),
        ] {
            assert_eq!(place(path), format!("{shown}:7:12"));
        }
    }

    #[test]
    fn words_are_no_commands() {
        let words = |text| Written::<Line>::of(text).into_string();
        assert_eq!(words("cord ::error::x"), "cord ?:error::x");
        assert_eq!(
            words("cord ##[error]x ###vso[a]"),
            "cord #?[error]x ##?vso[a]"
        );
        assert_eq!(words("at ::1, C::D, a # b, ##"), "at ::1, C::D, a # b, ##");
        assert_eq!(words("a\n::b"), "a ?:b");
    }
}
