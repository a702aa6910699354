//! The cells of a spreadsheet, whatever it was saved as.

use encoding_rs::Encoding;

use super::remark::{At, Remark};
use super::{encoding, separated, workbook};

/// What is to be known before a spreadsheet can be read.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Reading<'a> {
    /// The sheet of a workbook; the first where none is named.
    pub sheet: Option<&'a str>,
    /// The encoding of a text that does not show its own.
    pub encoding: Option<&'static Encoding>,
}

/// A spreadsheet.
#[derive(Clone, Debug, Default)]
pub(crate) struct Table {
    /// The rows that hold anything, in order.
    pub rows: Vec<Row>,
    /// How it was read, where that is worth telling.
    pub notes: Vec<String>,
    /// What could not be read.
    pub remarks: Vec<Remark>,
    /// Cells that are merged; those of titles and headings lose nothing.
    pub shared: Vec<Shared>,
}

/// Cells that several rows or columns share, and what is to be said of it.
#[derive(Clone, Debug)]
pub(crate) struct Shared {
    /// The lowest of their rows.
    pub last: usize,
    pub remark: Remark,
}

/// A row with its number in the spreadsheet.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub number: usize,
    /// Its cells that hold anything, by their columns from 0 on.
    pub cells: Vec<(usize, Cell)>,
}

/// What a cell holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Cell {
    pub text: String,
    /// Whether the workbook keeps it as a number, which is then written with a point and nothing else.
    pub is_number: bool,
}

impl Cell {
    /// A text without the blanks around it; nothing where nothing is left.
    pub fn typed(text: &str) -> Option<Self> {
        let text = text.trim();
        (!text.is_empty()).then(|| Self {
            text: text.to_owned(),
            is_number: false,
        })
    }
}

impl Row {
    pub fn cell(&self, column: usize) -> Option<&Cell> {
        let at = self.cells.binary_search_by_key(&column, |(at, _)| *at);
        at.ok()
            .and_then(|at| self.cells.get(at))
            .map(|(_, cell)| cell)
    }

    /// The text of a cell; empty where it holds nothing.
    pub fn text(&self, column: usize) -> &str {
        self.cell(column).map_or("", |cell| &cell.text)
    }
}

impl Table {
    /// Reads a workbook, or a text with commas, semicolons or tabs between the cells.
    pub fn read(bytes: &[u8], reading: Reading<'_>) -> Self {
        if bytes.starts_with(b"PK\x03\x04") {
            return workbook::table(bytes, reading.sheet);
        }
        if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
            let what =
                "the file is a workbook of the old kind (.xls), so nothing in it could be read";
            return Self::unread(what, "Save it as .xlsx, or as CSV.");
        }
        let mut table = match encoding::decoded(bytes, reading.encoding) {
            Ok(decoded) => Self {
                remarks: separated::left_open(&decoded.text).into_iter().collect(),
                rows: separated::rows(&decoded.text),
                notes: decoded.notes,
                ..Self::default()
            },
            Err(why) => Self::unread(why, "Save it as .xlsx, or as CSV in UTF-8."),
        };
        if let Some(sheet) = reading.sheet {
            let what = format!("there is no sheet `{sheet}` in a text: it is one sheet");
            let remark = Remark::new(At::Whole, what, "Leave out --sheet.");
            table.remarks.push(remark);
        }
        table
    }

    pub(super) fn unread(what: impl Into<String>, advice: impl Into<String>) -> Self {
        Self {
            remarks: vec![Remark::new(At::Whole, what, advice)],
            ..Self::default()
        }
    }
}

/// What a spreadsheet calls a column: `A`, `Z`, `AA`.
pub(super) fn letters(column: usize) -> String {
    let (rest, last) = (column / 26, column % 26);
    let before = match rest {
        0 => String::new(),
        rest => letters(rest - 1),
    };
    let last = u8::try_from(last).unwrap_or_default() + b'A';
    before + &char::from(last).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_have_the_letters_that_spreadsheets_give_them() {
        for (column, word) in [
            (0, "A"),
            (25, "Z"),
            (26, "AA"),
            (701, "ZZ"),
            (702, "AAA"),
            (16_383, "XFD"),
        ] {
            assert_eq!(letters(column), word);
        }
    }
}
