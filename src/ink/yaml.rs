//! YAML that is written out for people to keep.

use std::fmt::Write as _;

use super::Written;
use super::harm::{ends_a_command_mark, looked_at};
use crate::quantity::trap;

/// Definitions in YAML. What came from outside is a scalar there, whatever marks it holds; characters
/// that do harm are written by their numbers, so that nothing is lost and no terminal is steered.
///
/// ```compile_fail
/// use cordwright::ink::{Written, Yaml};
/// let name = String::from("W-1: {");
/// Written::<Yaml>::new().ours(&name);
/// ```
///
/// ```
/// use cordwright::ink::{Written, Yaml};
/// let name = String::from("W-1: {");
/// let mut text = Written::<Yaml>::new();
/// text.scalar(&name).ours(": {}\n");
/// assert_eq!(text.as_str(), "'W-1: {': {}\n");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Yaml;

impl Written<Yaml> {
    /// Adds a text that came from outside, in quotes unless every reader takes it for itself without
    /// them.
    pub fn scalar(&mut self, text: &str) -> &mut Self {
        if is_plain(text) {
            self.text.push_str(text);
        } else if by_numbers(text).any(|(_, by_number)| by_number) {
            put_by_numbers(text, &mut self.text);
        } else {
            // Writing into a text cannot fail.
            let _ = write!(self.text, "'{}'", text.replace('\'', "''"));
        }
        self
    }
}

impl Written<Yaml> {
    /// Adds a value that came from outside for a key that may hold a number: a plain decimal number stands
    /// without quotes.
    pub fn value(&mut self, text: &str) -> &mut Self {
        match is_decimal(text) {
            true => {
                self.text.push_str(text);
                self
            }
            false => self.scalar(text),
        }
    }
}

/// Whether every reader takes a text for the same decimal number: no sign, no exponent, no zeros in front.
fn is_decimal(text: &str) -> bool {
    let (whole, parts) = text.split_once('.').unwrap_or((text, "0"));
    let are_digits =
        |text: &str| (1..=9).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    are_digits(whole) && are_digits(parts) && (whole == "0" || !whole.starts_with('0'))
}

fn is_plain(text: &str) -> bool {
    let may_stand = |c: char| c.is_alphanumeric() || " -_./²°%–".contains(c);
    let begins_well = text.starts_with(|c: char| c.is_ascii_alphanumeric());
    let is_trap = trap::taken_for(text).is_some() || is_number_or_nothing(text);
    begins_well && text.chars().all(may_stand) && !text.ends_with(' ') && !is_trap
}

fn is_number_or_nothing(text: &str) -> bool {
    text.parse::<f64>().is_ok() || text.eq_ignore_ascii_case("null")
}

/// The characters of a text, each with whether it is written by its number: what does harm, and what
/// makes a command in the log of a build server.
fn by_numbers(text: &str) -> impl Iterator<Item = (char, bool)> {
    looked_at(text).map(|(at, c, harms)| {
        let by_number = harms || ends_a_command_mark(&text[..at], &text[at..]);
        (c, by_number)
    })
}

/// In double quotes, where a character may be written by its number (YAML 1.2.2, 5.7).
fn put_by_numbers(text: &str, written: &mut String) {
    written.push('"');
    for (c, by_number) in by_numbers(text) {
        let number = u32::from(c);
        let _ = match c {
            '"' | '\\' => write!(written, "\\{c}"),
            _ if !by_number => write!(written, "{c}"),
            _ if number > 0xffff => write!(written, "\\U{number:08x}"),
            _ => write!(written, "\\u{number:04x}"),
        };
    }
    written.push('"');
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scalar(text: &str) -> String {
        let mut written = Written::new();
        written.scalar(text);
        written.into_string()
    }

    #[test]
    fn a_decimal_number_stands_as_it_is_where_a_number_may_stand() {
        for (text, written) in [
            ("0.95", "0.95"),
            ("16", "16"),
            ("016", "'016'"),
            ("1e3", "'1e3'"),
            (".5", "'.5'"),
            ("1.", "'1.'"),
            ("16 A", "16 A"),
        ] {
            let mut yaml = Written::<Yaml>::new();
            yaml.value(text);
            assert_eq!(yaml.as_str(), written);
        }
    }

    #[test]
    fn a_text_is_quoted_where_a_reader_may_take_it_for_something_else() {
        for text in [
            "W-0412",
            "10 A",
            "tide-01/psu1",
            "1.5 mm²",
            "IEC 60309 16 A",
        ] {
            assert_eq!(scalar(text), text);
        }
        for (text, quoted) in [
            ("NO", "'NO'"),
            ("12:30", "'12:30'"),
            ("0412", "'0412'"),
            ("it's", "'it''s'"),
            ("a, b", "'a, b'"),
            ("- x", "'- x'"),
            ("null", "'null'"),
            ("a: b", "'a: b'"),
        ] {
            assert_eq!(scalar(text), quoted);
        }
    }

    #[test]
    fn what_does_harm_is_written_by_its_number() {
        assert_eq!(scalar("a\u{1b}[2J\n\"b\\"), r#""a\u001b[2J\u000a\"b\\""#);
        assert_eq!(scalar("##[x]"), r##""#\u0023[x]""##);
        assert_eq!(scalar("a\u{202e}b\u{e0041}"), r#""a\u202eb\U000e0041""#);
    }
}
