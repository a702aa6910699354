//! Rows for spreadsheets, quoted as RFC 4180 asks.

use super::Written;
use super::harm::{STAND_IN, begins_a_command, ends_a_command_mark, one_line};

/// Rows of comma-separated values, whose cells are texts or plain numbers to a spreadsheet, and never
/// formulas. Only [`Rows`] makes them:
///
/// ```compile_fail
/// use cordwright::ink::{Csv, Written};
/// let name = String::from("=cmd()");
/// Written::<Csv>::new().ours(&name);
/// ```
///
/// ```compile_fail
/// use cordwright::ink::{Csv, Written};
/// let name = String::from("=cmd()");
/// Written::<Csv>::new().theirs(&name);
/// ```
///
/// ```
/// use cordwright::ink::Rows;
/// let name = String::from("=cmd()");
/// let mut rows = Rows::new();
/// rows.row(["W-1", &name]);
/// assert_eq!(rows.end().as_str(), "W-1,'=cmd()\r\n");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Csv;

/// Rows in the making.
#[derive(Debug)]
pub struct Rows(csv::Writer<Vec<u8>>);

impl Rows {
    /// No row yet.
    pub fn new() -> Self {
        let mut builder = csv::WriterBuilder::new();
        let builder = builder.terminator(csv::Terminator::CRLF).flexible(true);
        Self(builder.from_writer(Vec::new()))
    }

    /// Adds a row. Its cells come from outside, and are needed whole.
    pub fn row<'a>(&mut self, cells: impl IntoIterator<Item = &'a str>) {
        // Writing into memory cannot fail, and rows may be of any length.
        let _ = self.0.write_record(cells.into_iter().map(inert));
    }

    /// All rows.
    pub fn end(self) -> Written<Csv> {
        let bytes = self.0.into_inner().unwrap_or_default();
        Written::made(String::from_utf8(bytes).unwrap_or_default())
    }
}

impl Default for Rows {
    fn default() -> Self {
        Self::new()
    }
}

/// A spreadsheet runs what begins like a formula, some of them behind blanks too; with a quote before
/// it, it is a text. So it is to a build server in whose log the rows are.
fn inert(cell: &str) -> String {
    let cell = without_command_marks(cell);
    let marks = [
        '=', '+', '-', '@', '＝', '＋', '－', '＠', '﹦', '﹢', '﹣', '﹫',
    ];
    let begins = cell.trim_start();
    let is_formula = begins.starts_with(marks) && !is_number(&cell);
    match is_formula || begins_a_command(begins) {
        true => format!("'{cell}"),
        false => cell,
    }
}

fn without_command_marks(cell: &str) -> String {
    let cell = one_line(cell);
    let shown = cell.char_indices().map(|(at, c)| {
        let is_mark = c == '#' && ends_a_command_mark(&cell[..at], &cell[at..]);
        if is_mark { STAND_IN } else { c }
    });
    shown.collect()
}

/// `-5`, `-0.25`.
fn is_number(cell: &str) -> bool {
    let digits = cell.strip_prefix('-').unwrap_or(cell);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
    [whole, part]
        .iter()
        .all(|digits| !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_made_texts_and_numbers_stay() {
        for (cell, expected) in [
            ("=1+1", "'=1+1"),
            (" =1+1", "' =1+1"),
            ("\t=1+1", "' =1+1"),
            ("\r=1+1", "' =1+1"),
            ("\u{3000}=1+1", "'\u{3000}=1+1"),
            ("＝1+1", "'＝1+1"),
            ("＠x", "'＠x"),
            ("@x", "'@x"),
            ("-5", "-5"),
            ("-0.25", "-0.25"),
            ("-x", "'-x"),
            ("-1e5", "'-1e5"),
            ("-", "'-"),
            ("-inf", "'-inf"),
            ("W-1", "W-1"),
            ("a\u{1b}[2J\u{0}", "a?[2J?"),
            ("\u{200b}=1", "?=1"),
            (" ::error::x", "' ::error::x"),
            ("a::b ##[x]", "a::b #?[x]"),
        ] {
            assert_eq!(inert(cell), expected);
        }
    }

    #[test]
    fn cells_stay_apart() {
        let mut rows = Rows::new();
        rows.row(["a,b", "c\"d", "e\nf", ""]);
        assert_eq!(rows.end().as_str(), "\"a,b\",\"c\"\"d\",e f,\r\n");
    }
}
