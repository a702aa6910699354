//! Edits as changed texts, and the edits that write another cord into the definitions.

use std::collections::BTreeMap;

use crate::finding::Edit;
use crate::model::Model;
use crate::model::cords::Cord;
use crate::model::value::{Name, Named};
use crate::quantity::{Length, Quantity};
use crate::source::{FileId, Source, Sources, Span};

use super::Fit;
use super::told_length::tells_another_length;

/// The files that edits change, with their new text; what is not touched stays byte for byte.
pub fn applied<'a>(
    sources: &Sources,
    edits: impl IntoIterator<Item = &'a Edit>,
) -> Vec<(String, String)> {
    let mut by_file: BTreeMap<FileId, Vec<&Edit>> = BTreeMap::new();
    for edit in edits {
        by_file.entry(edit.span.file).or_default().push(edit);
    }
    let changed = by_file.into_iter().map(|(file, mut edits)| {
        edits.sort();
        edits.dedup();
        let source = sources.file(file);
        let mut text = source.text.to_string();
        // From the end, so that the places before it still hold.
        for edit in edits.iter().rev() {
            if text.get(edit.span.range()).is_some() {
                text.replace_range(edit.span.range(), &edit.text);
            }
        }
        (source.path.clone(), text)
    });
    changed.collect()
}

/// Whether two edits change different bytes.
pub(super) fn do_not_meet(a: &Edit, b: &Edit) -> bool {
    let (a, b) = (a.span, b.span);
    a.file != b.file || a.hi <= b.lo && a != b || b.hi <= a.lo && a != b
}

/// The edits that make a cord what `fit` says; `None` where they could not be made without touching
/// more than this cord, the layout does not show where they belong, or the name of the type would tell
/// another length than the cord has.
pub(super) fn refit_edits(
    sources: &Sources,
    model: &Model,
    cord: &Name,
    fit: Fit,
) -> Option<Vec<Edit>> {
    let cord = &model.cords[model.cords.find(cord)?];
    let kind = &model.cord_types[fit.kind].name.value;
    let source = sources.file(cord.body.file);
    let now = cord.cord_type.given()?;
    let is_own = |span: Span| {
        let body = cord.body.range();
        span.file == cord.body.file && body.contains(&span.range().start)
    };
    let is_plain = source.slice(now.span.range()) == now.value.as_str();
    // What other cords have by an alias stands where it stands here.
    let shares = |other: &&Named<Cord>| other.cord_type.span() == Some(now.span);
    let is_shared = model.cords.items().iter().filter(shares).count() > 1;
    if !is_own(now.span) || is_shared || !is_plain || !may_stand_plain(kind) {
        return None;
    }
    let belied = |length: Length| tells_another_length(kind, length);
    if fit.own_length.is_some_and(belied) {
        return None;
    }
    let mut edits = Vec::new();
    if now.value != *kind {
        edits.push(Edit {
            span: now.span,
            text: kind.to_string(),
        });
    }
    match (cord.length.given(), fit.own_length) {
        (Some(written), Some(wanted)) if written.value == wanted => {}
        (Some(written), Some(wanted)) if is_own(written.span) => edits.push(Edit {
            span: written.span,
            text: wanted.show(),
        }),
        (Some(_), _) => return None,
        (None, Some(wanted)) => {
            edits.push(key_behind(source, cord.body, now.span, &wanted.show())?);
        }
        (None, None) => {}
    }
    Some(edits)
}

/// The key `length`, put behind the value of `type` as the cord's own layout has it.
fn key_behind(source: &Source, body: Span, kind: Span, length: &str) -> Option<Edit> {
    let insert = |at: usize, text: String| Edit {
        span: Span::new(kind.file, at, at),
        text,
    };
    let end = kind.range().end;
    if source.text[body.range()].starts_with('{') {
        return Some(insert(end, format!(", length: {length}")));
    }
    let line = source.line_range(source.line_of(kind.range().start))?;
    let before = source.text.get(line.start..kind.range().start)?;
    let indent = before.trim_end().strip_suffix("type:")?;
    let is_alone = indent.chars().all(|c| c == ' ');
    // Before the line of the type, so that a remark behind it stays there.
    let end = source.line_end(line.start);
    is_alone.then(|| insert(line.start, format!("{indent}length: {length}{end}")))
}

/// Whether a name needs no quotes where a value stands.
fn may_stand_plain(name: &str) -> bool {
    let inner = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/');
    name.starts_with(char::is_alphabetic) && name.chars().all(inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edit(lo: usize, hi: usize, text: &str) -> Edit {
        Edit {
            span: Span::new(FileId(0), lo, hi),
            text: text.into(),
        }
    }

    #[test]
    fn edits_are_made_from_the_end_and_the_rest_stays() {
        let sources = Sources::new(vec![Source::new("a.yaml", "one two  three # é\r\n")]);
        let edits = [edit(0, 3, "1"), edit(9, 14, "3"), edit(4, 4, "and ")];
        let expected = [("a.yaml".to_owned(), "1 and two  3 # é\r\n".to_owned())];
        assert_eq!(applied(&sources, &edits), expected);
        assert!(applied(&sources, []).is_empty());
    }

    #[test]
    fn edits_of_the_same_bytes_meet() {
        assert!(do_not_meet(&edit(0, 3, "a"), &edit(3, 5, "b")));
        assert!(!do_not_meet(&edit(0, 4, "a"), &edit(3, 5, "b")));
        assert!(!do_not_meet(&edit(2, 2, "a"), &edit(2, 2, "b")));
        assert!(!do_not_meet(&edit(1, 3, "a"), &edit(1, 3, "a")));
    }
}
