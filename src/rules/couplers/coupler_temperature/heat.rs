//! Whether the cordage on a hot inlet stands its heat.

use crate::model::flex::Flex;
use crate::quantity::degrees_celsius;

/// A North American jacket says what it bears by its mark, not by its name.
pub(super) fn is_marked_hot(flex: &Flex<'_>) -> bool {
    let mark = flex.mark.known().copied();
    mark.is_some_and(|mark| mark >= degrees_celsius(90.0))
}
