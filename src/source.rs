//! The text of a site's files and places in it.
//!
//! Everything downstream speaks of bytes: a [`Span`] is a half-open byte range in one file. Lines,
//! columns and the other units that outputs need are worked out here, once, from the bytes.

use std::ops::Range;
use std::sync::{Arc, OnceLock};

/// A file of the site, by its place in the sorted list of paths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A half-open range of bytes in one file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub lo: u32,
    /// One past the last byte.
    pub hi: u32,
}

impl Span {
    /// The bytes `lo..hi` of `file`.
    pub fn new(file: FileId, lo: usize, hi: usize) -> Self {
        Self {
            file,
            lo: clamp(lo),
            hi: clamp(hi),
        }
    }

    /// The range as indices into the file's text.
    pub fn range(self) -> Range<usize> {
        self.lo as usize..self.hi as usize
    }

    /// The smallest span that holds both; `self` if they lie in different files.
    pub fn to(self, other: Self) -> Self {
        if self.file != other.file {
            return self;
        }
        Self {
            file: self.file,
            lo: self.lo.min(other.lo),
            hi: self.hi.max(other.hi),
        }
    }
}

/// Files above 4 GiB are refused before they are read, so this never bites in practice.
fn clamp(byte: usize) -> u32 {
    u32::try_from(byte).unwrap_or(u32::MAX)
}

/// A line and column as people and editors count them, both from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LineColumn {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1, in the unit asked for.
    pub column: usize,
}

/// What columns are counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Bytes of UTF-8.
    Bytes,
    /// Characters.
    Chars,
    /// Code units of UTF-16.
    Utf16,
}

impl Unit {
    fn count(self, text: &str) -> usize {
        match self {
            Self::Bytes => text.len(),
            Self::Chars => text.chars().count(),
            Self::Utf16 => text.chars().map(char::len_utf16).sum(),
        }
    }
}

/// One file of the site.
#[derive(Clone, Debug)]
pub struct Source {
    /// Path below the site's root, with forward slashes.
    pub path: String,
    /// The text; bytes that are not UTF-8 are replaced by `?`, one each, so that offsets stay.
    pub text: Arc<str>,
    line_starts: Vec<u32>,
    /// Characters and UTF-16 units before every [`STRIDE`] bytes, once a long line asks for them.
    strides: OnceLock<Vec<[u32; 2]>>,
}

/// Bytes that are counted through to find a column. A line may be as long as its file, and hold as many
/// places as there are findings: each must not be counted from the start of the line.
const STRIDE: usize = 1024;

impl Source {
    /// Keeps `text` and finds its lines.
    pub fn new(path: impl Into<String>, text: impl Into<Arc<str>>) -> Self {
        let text = text.into();
        let line_starts = std::iter::once(0)
            .chain(line_feeds(&text).map(|at| clamp(at + 1)))
            .collect();
        Self {
            path: path.into(),
            text,
            line_starts,
            strides: OnceLock::new(),
        }
    }

    /// Number of lines; an empty file has one.
    pub fn line_count(&self) -> usize {
        self.line_starts.len()
    }

    /// The line (from 0) that holds `byte`.
    pub fn line_of(&self, byte: usize) -> usize {
        self.line_starts
            .partition_point(|&start| start as usize <= byte)
            .saturating_sub(1)
    }

    /// Bytes of line `line` (from 0), its line end included; `None` past the last line.
    pub fn line_range(&self, line: usize) -> Option<Range<usize>> {
        let start = *self.line_starts.get(line)? as usize;
        let end = self
            .line_starts
            .get(line + 1)
            .map_or(self.text.len(), |&next| next as usize);
        Some(start..end)
    }

    /// How lines end where `byte` is: as the one with it does, or the one before if that is the last.
    pub fn line_end(&self, byte: usize) -> &'static str {
        let line = self.line_of(byte);
        let lines = [Some(line), line.checked_sub(1)].into_iter().flatten();
        let texts = lines.filter_map(|line| self.text.get(self.line_range(line)?));
        let mut ends = texts.filter(|text| text.ends_with('\n'));
        match ends.next() {
            Some(text) if text.ends_with("\r\n") => "\r\n",
            _ => "\n",
        }
    }

    /// Line and column of `byte`, the column counted in `unit`.
    pub fn position(&self, byte: usize, unit: Unit) -> LineColumn {
        let byte = self.floor_char(byte);
        let line = self.line_of(byte);
        let start = self.line_starts[line] as usize;
        let column = match byte - start {
            0..=STRIDE => unit.count(&self.text[start..byte]),
            _ => self.units_before(byte, unit) - self.units_before(start, unit),
        };
        LineColumn {
            line: line + 1,
            column: column + 1,
        }
    }

    fn units_before(&self, byte: usize, unit: Unit) -> usize {
        let which = match unit {
            Unit::Bytes => return byte,
            Unit::Chars => 0,
            Unit::Utf16 => 1,
        };
        let stride = byte / STRIDE;
        let before = self.strides.get_or_init(|| self.counted())[stride][which];
        before as usize + unit.count(&self.text[self.floor_char(stride * STRIDE)..byte])
    }

    fn counted(&self) -> Vec<[u32; 2]> {
        let (mut strides, mut before) = (vec![[0; 2]], [0; 2]);
        let mut start = 0;
        while start + STRIDE <= self.text.len() {
            let end = start + STRIDE;
            let stride = &self.text[self.floor_char(start)..self.floor_char(end)];
            before[0] += clamp(Unit::Chars.count(stride));
            before[1] += clamp(Unit::Utf16.count(stride));
            strides.push(before);
            start = end;
        }
        strides
    }

    /// Line and column of `byte`, the column in characters.
    pub fn position_in_chars(&self, byte: usize) -> LineColumn {
        self.position(byte, Unit::Chars)
    }

    /// The text of `range`, cut to whole characters.
    pub fn slice(&self, range: Range<usize>) -> &str {
        let (lo, hi) = (self.floor_char(range.start), self.floor_char(range.end));
        self.text.get(lo..hi).unwrap_or("")
    }

    /// The start of the character that holds `byte`; the end of the text if it lies past that.
    pub fn floor_char(&self, byte: usize) -> usize {
        let mut at = byte.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        at
    }
}

/// Byte offsets of all line feeds; `memchr` would be faster, the standard library is fast enough.
fn line_feeds(text: &str) -> impl Iterator<Item = usize> + '_ {
    text.match_indices('\n').map(|(at, _)| at)
}

/// All files of one site, sorted by path.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
}

impl Sources {
    /// Keeps `files`, which must be sorted by path: a [`FileId`] is an index into them.
    pub fn new(files: Vec<Source>) -> Self {
        Self { files }
    }

    /// The file behind an id.
    pub fn file(&self, id: FileId) -> &Source {
        &self.files[id.0 as usize]
    }

    /// The file with this path below the site's root.
    pub fn by_path(&self, path: &str) -> Option<FileId> {
        let at = self.files.binary_search_by(|f| f.path.as_str().cmp(path));
        at.ok().map(|index| FileId(clamp(index)))
    }

    /// All files with their ids, in order of path.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &Source)> {
        self.files
            .iter()
            .enumerate()
            .map(|(index, file)| (FileId(clamp(index)), file))
    }

    /// The text a span covers.
    pub fn text(&self, span: Span) -> &str {
        self.file(span.file).slice(span.range())
    }

    /// A name for the state of all files: the same for the same paths and texts, and in practice for no
    /// others (FNV-1a, 128 bit; no secret is at stake).
    pub fn state(&self) -> u128 {
        let parts = self
            .files
            .iter()
            .flat_map(|file| [file.path.as_str(), &*file.text]);
        let bytes = parts.flat_map(|part| part.bytes().chain(std::iter::once(0xff)));
        bytes.fold(
            0x6c62_272e_07bb_0142_62b8_2175_6295_c58d,
            |hash: u128, byte| {
                (hash ^ u128::from(byte)).wrapping_mul(0x0000_0000_0100_0000_0000_0000_0000_013b)
            },
        )
    }

    /// Number of files.
    pub fn len(&self) -> usize {
        self.files.len()
    }

    /// Whether there is no file at all.
    pub fn is_empty(&self) -> bool {
        self.files.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_in_the_unit_asked_for() {
        let source = Source::new("a.yaml", "x: 1\nname: 𝔸é!\r\n");
        let byte = source.text.find('!').unwrap();
        assert_eq!(
            source.position_in_chars(byte),
            LineColumn { line: 2, column: 9 }
        );
        assert_eq!(
            source.position(byte, Unit::Utf16),
            LineColumn {
                line: 2,
                column: 10
            }
        );
        assert_eq!(source.line_count(), 3);
        assert_eq!(source.line_range(1), Some(5..20));
        assert_eq!(source.line_range(3), None);
    }

    #[test]
    fn lines_end_as_those_around_them() {
        for (text, byte, end) in [
            ("a\r\nb", 0, "\r\n"),
            ("a\r\nb", 3, "\r\n"),
            ("a\r\nb\nc", 3, "\n"),
            ("a\r\n", 3, "\r\n"),
            ("a", 1, "\n"),
            ("", 9, "\n"),
        ] {
            assert_eq!(Source::new("", text).line_end(byte), end, "{text:?}");
        }
    }

    #[test]
    fn a_column_far_into_a_line_is_the_one_that_counting_from_its_start_gives() {
        let line = "aé𝔸€".repeat(STRIDE / 4);
        for before in ["", "x", "first\n", "é\nsecond\n"] {
            let source = Source::new("a.yaml", format!("{before}{line}\nlast"));
            for byte in (0..=source.text.len()).filter(|&at| source.text.is_char_boundary(at)) {
                let start = source.text[..byte].rfind('\n').map_or(0, |at| at + 1);
                let text = &source.text[start..byte];
                for unit in [Unit::Bytes, Unit::Chars, Unit::Utf16] {
                    let column = source.position(byte, unit).column;
                    assert_eq!(column, unit.count(text) + 1, "{unit:?} at {byte}");
                }
            }
        }
    }

    #[test]
    fn offsets_inside_a_character_or_past_the_end_do_not_panic() {
        let source = Source::new("a.yaml", "é");
        assert_eq!(source.position_in_chars(1).column, 1);
        assert_eq!(source.position_in_chars(99).column, 2);
        assert_eq!(source.slice(1..2), "é");
    }
}
