//! Lines and characters as editors count them, both from 0, and bytes.

use crate::source::{Source, Unit};

/// The unit in which an editor counts the characters of a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// Bytes of UTF-8.
    Utf8,
    /// Code units of UTF-16, which every editor can.
    #[default]
    Utf16,
    /// Characters.
    Utf32,
}

impl Encoding {
    fn width(self, c: char) -> usize {
        match self {
            Self::Utf8 => c.len_utf8(),
            Self::Utf16 => c.len_utf16(),
            Self::Utf32 => 1,
        }
    }

    fn unit(self) -> Unit {
        match self {
            Self::Utf8 => Unit::Bytes,
            Self::Utf16 => Unit::Utf16,
            Self::Utf32 => Unit::Chars,
        }
    }

    /// Line and character of `byte`.
    pub fn position(self, source: &Source, byte: usize) -> (u32, u32) {
        let at = source.position(byte, self.unit());
        (at.line as u32 - 1, at.column as u32 - 1)
    }

    /// The byte at a line and character: the end of the line if it is shorter, the end of the text
    /// if there is no such line, the start of a character if the place lies within one.
    pub fn byte(self, source: &Source, line: u32, character: u32) -> usize {
        let Some(range) = source.line_range(line as usize) else {
            return source.text.len();
        };
        let text = &source.text[range.clone()];
        let text = text.strip_suffix('\n').unwrap_or(text);
        let text = text.strip_suffix('\r').unwrap_or(text);
        let mut left = character as usize;
        for (at, c) in text.char_indices() {
            let width = self.width(c);
            if left < width {
                return range.start + at;
            }
            left -= width;
        }
        range.start + text.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "a: 1\r\nname: 𝔸é!\nlast";

    #[test]
    fn each_encoding_goes_there_and_back() {
        let source = Source::new("a.yaml", TEXT);
        for encoding in [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32] {
            for (byte, c) in TEXT.char_indices() {
                let (line, character) = encoding.position(&source, byte);
                // The two bytes of a line end are one place to an editor.
                if c != '\n' || byte > 5 {
                    assert_eq!(
                        encoding.byte(&source, line, character),
                        byte,
                        "{encoding:?}"
                    );
                }
            }
        }
        let bang = TEXT.find('!').unwrap();
        assert_eq!(Encoding::Utf16.position(&source, bang), (1, 9));
        assert_eq!(Encoding::Utf8.position(&source, bang), (1, 12));
        assert_eq!(Encoding::Utf32.position(&source, bang), (1, 8));
    }

    #[test]
    fn places_that_are_not_there_are_the_nearest_ones() {
        let source = Source::new("a.yaml", TEXT);
        assert_eq!(Encoding::Utf16.byte(&source, 0, 99), 4);
        assert_eq!(Encoding::Utf16.byte(&source, 9, 0), TEXT.len());
        let letter = TEXT.find('𝔸').unwrap();
        assert_eq!(Encoding::Utf16.byte(&source, 1, 7), letter);
    }
}
