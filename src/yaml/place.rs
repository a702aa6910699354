//! Where things stand in the text, for the few ranges that the parser gives only roughly.
//!
//! Every scan starts at the end of the token before, so that together they pass over the text once.

use std::ops::Range;

/// First byte of `from..to` that is one of `marks`; comments, anchors and tags are skipped.
pub(super) fn find_mark(text: &str, from: usize, to: usize, marks: &[u8]) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut at = from;
    while at < to.min(bytes.len()) {
        match bytes[at] {
            byte if marks.contains(&byte) => return Some(at),
            b'#' => at = end_of_line(bytes, at),
            b'&' | b'!' => at = end_of_property(bytes, at),
            _ => at += 1,
        }
    }
    None
}

/// Start of a tag in `from..to`, and its end.
pub(super) fn find_tag(text: &str, from: usize, to: usize) -> Option<(usize, usize)> {
    let at = find_mark(text, from, to, b"!")?;
    Some((at, end_of_property(text.as_bytes(), at)))
}

/// End of a block scalar: after its last line with text.
pub(super) fn end_of_block(text: &str, lo: usize, hi: usize) -> usize {
    let body = text.get(lo..hi).unwrap_or_default();
    lo + body.trim_end_matches([' ', '\t', '\r', '\n']).len()
}

/// What an empty node is to the collection around it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Document,
    Item,
    Key,
    /// Start of the mapping, if it is written without brackets.
    Value(Option<usize>),
}

/// Where an empty node would be written: after its `-`, `?` or `:` and after its anchor and tag.
///
/// `from` is the end of the token before; `given` is the parser's own guess.
pub(super) fn place_of_empty(
    text: &str,
    role: Role,
    from: usize,
    given: usize,
    has_property: bool,
) -> usize {
    let mut place = match role {
        Role::Document => from,
        Role::Item => after_mark(text, from, b'-').unwrap_or(from),
        Role::Key => after_mark(text, from, b'?').unwrap_or(given.max(from)),
        Role::Value(mapping) => after_colon(text, from, mapping).unwrap_or(from),
    };
    while has_property && let Some(at) = next_token(text, place, b",") {
        if !matches!(text.as_bytes()[at], b'&' | b'!') {
            break;
        }
        place = end_of_property(text.as_bytes(), at);
    }
    place
}

fn after_mark(text: &str, from: usize, mark: u8) -> Option<usize> {
    let at = next_token(text, from, b",")?;
    is_mark(text.as_bytes(), at, mark, true).then_some(at + 1)
}

/// Whether `mark` stands at `at` by itself; `-1`, `:x` and, outside brackets, `:}` are text.
fn is_mark(bytes: &[u8], at: usize, mark: u8, in_brackets: bool) -> bool {
    let ends = |&byte: &u8| match byte {
        b',' | b'[' | b']' | b'{' | b'}' => in_brackets,
        _ => is_blank(byte) || is_break(byte),
    };
    bytes[at] == mark && bytes.get(at + 1).is_none_or(ends)
}

/// The place after the colon that belongs to the key ending at `from`.
///
/// On a later line, the colon is this mapping's only if it is in its column: in `? ? a` followed by
/// `: b`, the colon is the outer mapping's.
fn after_colon(text: &str, from: usize, mapping: Option<usize>) -> Option<usize> {
    let bytes = text.as_bytes();
    let at =
        next_token(text, from, b"").filter(|&at| is_mark(bytes, at, b':', mapping.is_none()))?;
    let same_line = !bytes[from..at].iter().any(|&b| is_break(b));
    let ours = same_line || mapping.is_none_or(|lo| column(text, lo) == column(text, at));
    ours.then_some(at + 1)
}

/// First byte at or after `from` that is neither blank, line break, comment nor in `skip`.
fn next_token(text: &str, from: usize, skip: &[u8]) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut at = from;
    loop {
        match *bytes.get(at)? {
            b'#' => at = end_of_line(bytes, at),
            _ if bytes[at..].starts_with("\u{feff}".as_bytes()) => at += 3,
            byte if is_break(byte) || is_blank(byte) || skip.contains(&byte) => at += 1,
            _ => return Some(at),
        }
    }
}

/// End of the anchor or tag that starts at `at`.
fn end_of_property(bytes: &[u8], at: usize) -> usize {
    let verbatim = bytes[at..].starts_with(b"!<");
    let ends = |byte: u8| match byte {
        b'>' if verbatim => true,
        b',' | b'[' | b']' | b'{' | b'}' => !verbatim,
        _ => is_blank(byte) || is_break(byte),
    };
    let len = bytes[at..].iter().position(|&byte| ends(byte));
    let end = len.map_or(bytes.len(), |len| at + len);
    // The closing `>` belongs to the tag.
    end + usize::from(verbatim && bytes.get(end) == Some(&b'>'))
}

fn end_of_line(bytes: &[u8], at: usize) -> usize {
    let len = bytes[at..].iter().position(|&byte| is_break(byte));
    len.map_or(bytes.len(), |len| at + len)
}

/// Blanks before the first key or dash of the entry that starts at `at`, in its line; dashes and
/// question marks before it stand in columns of their own.
pub(super) fn indentation(text: &str, at: usize) -> usize {
    let end = column(text, at);
    let line = &text.as_bytes()[at - end..at];
    let first = line.iter().position(|byte| !b" -?".contains(byte));
    first.unwrap_or(end)
}

/// The text of the first line in `range`, its first and blank ones aside, that does not begin
/// beyond `column`. Only spaces count, as tabs do not indent.
pub(super) fn line_not_beyond(
    text: &str,
    range: &Range<usize>,
    column: usize,
) -> Option<Range<usize>> {
    let whole = text.get(range.clone())?;
    let mut lo = range.start;
    for (number, line) in whole.split_inclusive(['\n', '\r']).enumerate() {
        let words = line.trim_ascii();
        let spaces = line.bytes().take_while(|&byte| byte == b' ').count();
        if number > 0 && !words.is_empty() && spaces <= column {
            let start = lo + line.len() - line.trim_ascii_start().len();
            return Some(start..start + words.len());
        }
        lo += line.len();
    }
    None
}

/// Bytes before `at` in its line, without a byte-order mark.
fn column(text: &str, at: usize) -> usize {
    let before = text.get(..at).unwrap_or_default();
    let line = before.rsplit(['\n', '\r', '\u{feff}']).next();
    line.map_or(0, str::len)
}

fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t')
}

fn is_break(byte: u8) -> bool {
    matches!(byte, b'\n' | b'\r')
}
