//! A line of source made fit to be shown: harmless, and cut around what is marked on it.

use std::ops::Range;

use super::place::text_start;
use crate::ink::{Plain, Written, columns, columns_of};
use crate::source::Source;

/// A line made fit to be shown, and the mark on it.
pub(super) struct Shown {
    pub text: Written<Plain>,
    /// Bytes of `text`.
    pub mark: Range<usize>,
    /// Whether something was cut off.
    pub clipped: bool,
}

/// Line `index` of `source` with the part of `span` that lies on it. A place of several lines is
/// marked on its first: the rest is a glance away in the file.
pub(super) fn shown_line(
    source: &Source,
    index: usize,
    span: &Range<usize>,
    room: usize,
    unicode: bool,
) -> Shown {
    let range = source.line_range(index).unwrap_or(0..0);
    let start = range.start.max(text_start(source).min(range.end));
    let line = source
        .slice(start..range.end)
        .trim_end_matches(['\r', '\n']);
    let line = start..start + line.len();
    let near = near(source, &line, span.start, room);
    let local = |byte: usize| source.floor_char(byte.clamp(near.start, near.end)) - near.start;
    let shown = Shown {
        text: Written::of_source(source.slice(near.clone())),
        mark: local(span.start)..local(span.end.max(span.start)),
        clipped: near != line,
    };
    let more = (near.start > line.start, near.end < line.end);
    clip(shown, more, room, if unicode { "…" } else { "..." })
}

/// As much of a line as can matter for what is shown of it: a line may be as long as its file.
fn near(source: &Source, line: &Range<usize>, mark: usize, room: usize) -> Range<usize> {
    // No character takes more bytes for a column, but for what stands on top of it.
    let most = 8 * room.max(8);
    let mark = mark.clamp(line.start, line.end);
    let before = source.floor_char(mark.saturating_sub(most));
    before.max(line.start)..source.floor_char((mark + most).min(line.end))
}

/// Cuts to `room` columns around the mark, with `ellipsis` where something is missing, as there is
/// where `more` stood before or after.
fn clip(line: Shown, more: (bool, bool), room: usize, ellipsis: &'static str) -> Shown {
    let (text, mark) = (line.text.as_str(), line.mark.clone());
    if !line.clipped && columns(text) <= room {
        return line;
    }
    let room = room.saturating_sub(2 * columns(ellipsis)).max(8);
    let marked = columns(&text[mark.clone()]).min(room);
    // A third of the context stands before the mark, more where the line ends soon after it.
    let context = room - marked;
    let lead = (context / 3).max(context.saturating_sub(columns(&text[mark.end..])));
    let start = if columns(&text[..mark.start]) + marked <= room {
        0
    } else {
        mark.start - back(&text[..mark.start], lead)
    };
    let end = start + ahead(&text[start..], room);
    let before = if start > 0 || more.0 { ellipsis } else { "" };
    let after = if end < text.len() || more.1 {
        ellipsis
    } else {
        ""
    };
    let moved = |byte: usize| byte.clamp(start, end) - start + before.len();
    let mut shown = Written::new();
    shown
        .ours(before)
        .push(&line.text.part(start..end))
        .ours(after);
    Shown {
        mark: moved(mark.start)..moved(mark.end),
        text: shown,
        clipped: true,
    }
}

/// Bytes at the end of `text` that take at most `room` columns.
fn back(text: &str, room: usize) -> usize {
    fitting(text.chars().rev(), room)
}

/// Bytes at the start of `text` that take at most `room` columns.
fn ahead(text: &str, room: usize) -> usize {
    fitting(text.chars(), room)
}

fn fitting(chars: impl Iterator<Item = char>, room: usize) -> usize {
    let taken = chars.scan(0, |used, c| {
        *used += columns_of(c);
        (*used <= room).then_some(c.len_utf8())
    });
    taken.sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str, needle: &str, room: usize) -> (String, String) {
        let source = Source::new("a.yaml", text);
        let lo = text.find(needle).expect("in the text");
        let span = lo..lo + needle.len();
        let shown = shown_line(&source, source.line_of(lo), &span, room, true);
        let marked = shown.text.part(shown.mark);
        (shown.text.into_string(), marked.into_string())
    }

    #[test]
    fn line_ends_and_the_byte_order_mark_are_not_shown() {
        let (text, marked) = shown("\u{feff}site: {}\r\nx: y\r\n", "site", 40);
        assert_eq!((text.as_str(), marked.as_str()), ("site: {}", "site"));
        let (text, marked) = shown("\u{feff}site: {}\r\nx: y\r\n", "y\r\n", 40);
        assert_eq!((text.as_str(), marked.as_str()), ("x: y", "y"));
    }

    #[test]
    fn stand_ins_keep_every_byte_in_place() {
        let (text, marked) = shown("a\u{202e}\tb\u{1b}c: name", "name", 40);
        assert_eq!((text.as_str(), marked.as_str()), ("a??? b?c: name", "name"));
    }

    #[test]
    fn long_lines_are_cut_around_the_mark() {
        let line = format!("{}here{}", "a".repeat(50), "b".repeat(50));
        let (text, marked) = shown(&line, "here", 20);
        assert_eq!(
            (text.as_str(), marked.as_str()),
            ("…aaaaherebbbbbbbbbb…", "here")
        );
        let (text, marked) = shown(&format!("here{line}"), "here", 12);
        assert_eq!((text.as_str(), marked.as_str()), ("hereaaaaaa…", "here"));
        let (text, marked) = shown(&line, &line, 12);
        assert_eq!(
            (text.as_str(), marked.as_str()),
            ("aaaaaaaaaa…", "aaaaaaaaaa")
        );
    }

    #[test]
    fn of_a_line_as_long_as_a_file_the_same_is_shown() {
        let line = format!("{}here{}", "a".repeat(100_000), "b".repeat(100_000));
        let (text, marked) = shown(&line, "here", 20);
        assert_eq!(
            (text.as_str(), marked.as_str()),
            ("…aaaaherebbbbbbbbbb…", "here")
        );
        let (text, marked) = shown(&line, &line, 12);
        assert_eq!(
            (text.as_str(), marked.as_str()),
            ("aaaaaaaaaa…", "aaaaaaaaaa")
        );
        let (text, marked) = shown(&format!("{line}x"), "x", 12);
        assert_eq!((text.as_str(), marked.as_str()), ("…bbbbbbbbbx", "x"));
    }

    #[test]
    fn wide_characters_are_cut_by_the_columns_they_take() {
        let (text, marked) = shown("電源電源電源電源: x", "x", 12);
        assert_eq!((text.as_str(), marked.as_str()), ("…源電源: x", "x"));
        assert!(columns(&text) <= 12);
    }

    #[test]
    fn a_place_of_several_lines_is_marked_on_its_first() {
        let (text, marked) = shown("W-1:\n  type: a\n  to: b\n", "type: a\n  to: b", 40);
        assert_eq!((text.as_str(), marked.as_str()), ("  type: a", "type: a"));
    }
}
