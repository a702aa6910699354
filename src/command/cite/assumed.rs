//! The table of what is taken for granted.

use crate::analysis::ASSUMED;
use crate::ink::{Look, Page, Plain, Written};
use crate::report::CAUTION;

/// Every row: the key, what is taken while it says nothing, why, and the source.
pub(super) fn shown(look: &Look) -> Written<Plain> {
    let mut page = Page::new(look);
    page.paragraph("Where the definitions do not say it, this is taken for granted. Write the key, and what you write counts instead.");
    page.blank();
    for row in ASSUMED {
        page.paragraph(row.key);
        let source = (row.source)();
        page.indented(
            2,
            &format!("{}: {}. Source: {source}.", (row.taken)(), row.why),
        );
    }
    page.blank();
    page.paragraph(CAUTION);
    page.end()
}
