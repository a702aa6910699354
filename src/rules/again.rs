//! A site that is judged once more, as it would be if something were otherwise.

use std::collections::BTreeSet;

use crate::finding::Finding;

use super::Subject;

/// Subjects whose rules look at the ways of the power, and at what flows there: the others would say the same.
pub(super) const SUBJECTS: [Subject; 4] = [
    Subject::Couplers,
    Subject::Conductors,
    Subject::Splitters,
    Subject::Circuits,
];

/// What of `again` is not among what was found at first.
pub(super) fn new_beside(
    found: &[Finding],
    again: Vec<Finding>,
) -> impl Iterator<Item = Finding> + use<> {
    let name = |finding: &Finding| (finding.rule, finding.fingerprint());
    let known: BTreeSet<_> = found.iter().map(name).collect();
    let again = again.into_iter();
    again.filter(move |finding| !known.contains(&name(finding)))
}
