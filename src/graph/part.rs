//! Which bytes of a reference are wrong.

use crate::model::text::Reference;
use crate::model::value::{Name, Spanned};
use crate::source::Span;

/// The name that a reference is written as.
pub(super) fn name_of(reference: &Spanned<Reference>) -> Spanned<Name> {
    Spanned {
        value: reference.value.0.clone(),
        span: reference.span,
    }
}

/// The bytes of `part` in a name, and whether they hold just it; the whole name where it is written
/// with escapes.
pub(super) fn span_of(name: &Spanned<Name>, part: &str) -> (Span, bool) {
    let (text, whole) = (name.value.as_str(), name.span.range());
    // Quotes without escapes add one byte at each end.
    let quotes = match whole.len().checked_sub(text.len()) {
        Some(0) => 0,
        Some(2) => 1,
        _ => return (name.span, false),
    };
    let at = if text.ends_with(part) && text.len() > part.len() {
        text.len() - part.len()
    } else {
        0
    };
    let lo = whole.start + quotes + at;
    (Span::new(name.span.file, lo, lo + part.len()), true)
}
