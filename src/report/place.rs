//! Where a place lies, in the units that outputs count in.

pub(super) use crate::source::Unit;
use crate::source::{LineColumn, Source};

/// The byte-order mark that may begin a file: part of its bytes, never of its columns.
const MARK: char = '\u{feff}';

/// Line and column of `byte`, both from 1.
pub(super) fn position(source: &Source, byte: usize, unit: Unit) -> LineColumn {
    let byte = byte.max(text_start(source));
    let mut at = source.position(byte, unit);
    if at.line == 1 {
        at.column -= unit_of_mark(source, unit);
    }
    at
}

fn unit_of_mark(source: &Source, unit: Unit) -> usize {
    match unit {
        Unit::Bytes => text_start(source),
        Unit::Chars | Unit::Utf16 => text_start(source).min(1),
    }
}

/// The first byte after a byte-order mark; 0 without one.
pub(super) fn text_start(source: &Source) -> usize {
    if source.text.starts_with(MARK) {
        MARK.len_utf8()
    } else {
        0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn columns(text: &str, byte: usize) -> (usize, usize, usize) {
        let source = Source::new("a.yaml", text);
        let chars = position(&source, byte, Unit::Chars);
        let utf16 = position(&source, byte, Unit::Utf16);
        assert_eq!(chars.line, utf16.line);
        (chars.line, chars.column, utf16.column)
    }

    #[test]
    fn a_byte_order_mark_takes_no_column() {
        assert_eq!(columns("\u{feff}ab", 0), (1, 1, 1));
        assert_eq!(columns("\u{feff}ab", 3), (1, 1, 1));
        assert_eq!(columns("\u{feff}ab", 4), (1, 2, 2));
        assert_eq!(columns("\u{feff}a\nb", 6), (2, 2, 2));
    }

    #[test]
    fn columns_differ_by_unit_and_files_end_somewhere() {
        assert_eq!(columns("𝔸é!", 6), (1, 3, 4));
        assert_eq!(columns("", 0), (1, 1, 1));
        assert_eq!(columns("a\r\n", 99), (2, 1, 1));
    }
}
