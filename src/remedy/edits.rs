//! Edits as changed texts, and the edits that write another cord into the definitions.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashMap;

use crate::finding::Edit;
use crate::model::Model;
use crate::model::cords::Cord;
use crate::model::value::{Name, Named};
use crate::quantity::{Length, Quantity};
use crate::source::{FileId, Source, Sources, Span};

use super::Fit;
use super::told_length::{retold, tells_another_length};

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
        let (mut text, mut at) = (String::with_capacity(source.text.len()), 0);
        for edit in edits {
            let range = edit.span.range();
            // Of two that meet the first stands.
            let is_free = range.start >= at && source.text.get(range.clone()).is_some();
            if let Some(before) = source.text.get(at..range.start).filter(|_| is_free) {
                text.push_str(before);
                text.push_str(&edit.text);
                at = range.end;
            }
        }
        text.push_str(source.text.get(at..).unwrap_or_default());
        (source.path.clone(), text)
    });
    changed.collect()
}

/// Places that edits change, no two of which meet.
#[derive(Default)]
pub(super) struct Changed(BTreeSet<Span>);

impl Changed {
    /// Whether edits change other bytes than these, and no byte twice.
    pub(super) fn is_clear_of(&self, edits: &[Edit]) -> bool {
        edits.iter().all(|edit| {
            let own = edit.span;
            let before = self.0.range(..own).next_back();
            let after = self.0.range(own..).next();
            before.is_none_or(|before| do_not_meet(*before, own))
                && after.is_none_or(|after| do_not_meet(own, *after))
        })
    }

    pub(super) fn add(&mut self, edits: &[Edit]) {
        self.0.extend(edits.iter().map(|edit| edit.span));
    }
}

/// Whether two places have no byte in common, and are not the same.
fn do_not_meet(a: Span, b: Span) -> bool {
    a.file != b.file || a.hi <= b.lo && a != b || b.hi <= a.lo && a != b
}

/// Writing other cords into the definitions of a site.
pub(super) struct Writing<'a> {
    sources: &'a Sources,
    model: &'a Model,
    /// How many cords have their type from each place: what several have by an alias stands once.
    types: FxHashMap<Span, usize>,
}

impl<'a> Writing<'a> {
    pub(super) fn new(sources: &'a Sources, model: &'a Model) -> Self {
        let mut types = FxHashMap::default();
        for span in model
            .cords
            .items()
            .iter()
            .filter_map(|cord| cord.cord_type.span())
        {
            *types.entry(span).or_default() += 1;
        }
        Self {
            sources,
            model,
            types,
        }
    }

    /// The edits that make a cord what `fit` says; `None` where they could not be made without touching
    /// more than this cord, or the layout does not show where they belong.
    pub(super) fn edits(&self, cord: &Name, fit: Fit) -> Option<Vec<Edit>> {
        let cord = &self.model.cords[self.model.cords.find(cord)?];
        let kind = &self.model.cord_types[fit.kind].name.value;
        let now = cord.cord_type.given()?;
        let is_shared = self.types.get(&now.span).is_some_and(|cords| *cords > 1);
        let source = self.sources.file(cord.body.file);
        let belied = fit
            .own_length
            .filter(|length| tells_another_length(kind, *length));
        let edits = match belied {
            None => refit_edits(source, cord, kind, fit.own_length),
            Some(length) => {
                let (name, definition) = self.retyped(fit, length)?;
                let own_length = cord.length.given().map(|_| length);
                let mut edits = refit_edits(source, cord, &name, own_length)?;
                edits.push(definition);
                Some(edits)
            }
        };
        edits.filter(|_| !is_shared)
    }

    /// A type like another but for its length, called what it is, and the edit that defines it behind the other;
    /// `None` where the layout does not show how.
    fn retyped(&self, fit: Fit, length: Length) -> Option<(Name, Edit)> {
        let kind = &self.model.cord_types[fit.kind];
        let name = Name::from(retold(&kind.name.value, length)?);
        let is_free = self.model.cord_types.find(&name).is_none();
        if !is_free || self.model.is_shared(kind.name.span) {
            return None;
        }
        let source = self.sources.file(kind.name.span.file);
        let (key, body) = (kind.name.span.range(), kind.body.range());
        let told = kind.length.given()?.span.range();
        let start = source.line_range(source.line_of(key.start))?.start;
        let end = source
            .line_range(source.line_of(body.end.saturating_sub(1)))?
            .end;
        let text = &source.text;
        let indent = text.get(start..key.start)?;
        let is_plain = text.get(key.clone())? == kind.name.value.as_str() && may_stand_plain(&name);
        let is_alone = indent.chars().all(|c| c == ' ') && body.contains(&told.start);
        // What an alias names may not be named twice.
        let is_simple = !text.get(key.end..end)?.contains(['&', '*']);
        if !is_plain || !is_alone || !is_simple {
            return None;
        }
        let line_end = source.line_end(start);
        let copy = [
            indent,
            &name,
            text.get(key.end..told.start)?,
            &length.show(),
        ]
        .concat();
        let copy = format!("{line_end}{copy}{}", text.get(told.end..end)?);
        let copy = copy.trim_end_matches(['\r', '\n']).to_owned();
        let at = start + text.get(start..end)?.trim_end_matches(['\r', '\n']).len();
        let edit = Edit {
            span: Span::new(kind.name.span.file, at, at),
            text: copy,
        };
        Some((name, edit))
    }
}

fn refit_edits(
    source: &Source,
    cord: &Named<Cord>,
    kind: &Name,
    own_length: Option<Length>,
) -> Option<Vec<Edit>> {
    let now = cord.cord_type.given()?;
    let is_own = |span: Span| {
        let body = cord.body.range();
        span.file == cord.body.file && body.contains(&span.range().start)
    };
    let is_plain = source.slice(now.span.range()) == now.value.as_str();
    if !is_own(now.span) || !is_plain || !may_stand_plain(kind) {
        return None;
    }
    let belied = |length: Length| tells_another_length(kind, length);
    if own_length.is_some_and(belied) {
        return None;
    }
    let mut edits = Vec::new();
    if now.value != *kind {
        edits.push(Edit {
            span: now.span,
            text: kind.to_string(),
        });
    }
    match (cord.length.given(), own_length) {
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
        for (there, new, is_clear) in [
            ((0, 3), (3, 5), true),
            ((3, 5), (0, 3), true),
            ((0, 4), (3, 5), false),
            ((3, 5), (0, 4), false),
            ((0, 9), (3, 5), false),
            ((2, 2), (2, 2), false),
            ((1, 3), (1, 3), false),
            ((2, 2), (2, 4), true),
            ((2, 2), (1, 4), false),
        ] {
            let mut changed = Changed::default();
            changed.add(&[edit(there.0, there.1, "a"), edit(20, 30, "b")]);
            let found = changed.is_clear_of(&[edit(new.0, new.1, "c")]);
            assert_eq!(found, is_clear, "{there:?} {new:?}");
        }
    }

    #[test]
    fn of_edits_that_meet_the_first_is_made() {
        let sources = Sources::new(vec![Source::new("a.yaml", "one two three")]);
        let edits = [edit(0, 7, "1"), edit(4, 13, "2"), edit(99, 100, "3")];
        let expected = [("a.yaml".to_owned(), "1 three".to_owned())];
        assert_eq!(applied(&sources, &edits), expected);
    }
}
