//! Values that their own comma tears in two: between braces a comma ends a value, whatever it means in the
//! country where it was written.

use crate::model::fault::Fault;
use crate::model::text::clip;
use crate::source::Span;
use crate::yaml::{Kind, NodeId, Tree};

/// Whether an entry is what a comma tore off the value before it: it begins with a digit right behind the
/// comma, has no value of its own, and a digit stands before the comma.
pub(super) fn is_tail(tree: &Tree, value: NodeId, (key, none): (NodeId, NodeId)) -> bool {
    let (before, after) = (tree.text(value), tree.text(key));
    let is_digit = |byte: Option<u8>| byte.is_some_and(|byte| byte.is_ascii_digit());
    let is_plain = [value, key]
        .into_iter()
        .all(|node| tree.kind(node) == Kind::Plain);
    is_plain
        && tree.kind(none) == Kind::Empty
        && tree.span(value).hi + 1 == tree.span(key).lo
        && is_digit(before.bytes().next_back())
        && is_digit(after.bytes().next())
}

/// What is said of such a value.
pub(super) fn by_comma(tree: &Tree, value: NodeId, tail: NodeId) -> Fault {
    let (first, last) = (tree.span(value), tree.span(tail));
    let (before, after) = (tree.text(value), tree.text(tail));
    let whole = format!("{before},{after}");
    Fault::BadValue {
        span: Span {
            hi: last.hi,
            ..first
        },
        headline: format!(
            "`{}` is torn in two by its comma, which ends a value between braces",
            clip(&whole)
        ),
        advice: format!(
            "Write a number with a point, {}, and put a name that has a comma in quotes.",
            clip(&format!("{before}.{after}"))
        ),
        edit: None,
    }
}
