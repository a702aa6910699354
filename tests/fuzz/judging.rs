//! Files → findings.

use cordwright::finding::Finding;
use cordwright::input::SITE_FILE;
use cordwright::report::Census;

use super::laid_out::{assert_places, found, judged, site};

/// The same site says the same twice, in order, at places that are there; and what could not be read
/// is told.
pub fn run(bytes: &[u8]) {
    let judgement = judged(site(bytes));
    for finding in found(&judgement) {
        assert_places(&judgement.sources, finding);
        assert!(!finding.headline.is_empty() && !finding.basis.is_empty());
    }
    assert!(judgement.findings.is_sorted_by(|a, b| a.order(b).is_le()));
    // A site without anything to judge is no file that cannot be read.
    let census = Census {
        files: 0,
        passed_over: 0,
        ..judgement.census
    };
    let is_empty = |path: &str| census == Census::default() && path == SITE_FILE;
    let unread = judgement.unread.iter();
    for unread in unread.filter(|one| !is_empty(&one.path)) {
        let of_file = |finding: &Finding| {
            finding.rule == "unreadable-file"
                && judgement.sources.file(finding.main.span.file).path == unread.path
        };
        assert!(found(&judgement).any(of_file), "{unread:?} is not told");
    }
    let again = judged(site(bytes));
    assert_eq!(judgement.findings, again.findings);
}
