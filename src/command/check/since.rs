//! What changed between two judgements of a site.

use std::collections::BTreeMap;

use crate::finding::Finding;

/// Findings that came and went.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Change<'a> {
    /// Those there are now and were not before.
    pub(super) new: Vec<Finding>,
    /// Those there were before and are not now.
    pub(super) gone: Vec<&'a Finding>,
}

/// Matches findings by fingerprint, one for one: a fault that is there twice now and was there
/// once is new once.
pub(super) fn change(now: Vec<Finding>, before: &[Finding]) -> Change<'_> {
    let mut known: BTreeMap<String, Vec<&Finding>> = BTreeMap::new();
    for finding in before.iter().rev() {
        known
            .entry(finding.fingerprint())
            .or_default()
            .push(finding);
    }
    let mut was_known = |finding: &Finding| {
        let same = known.get_mut(&finding.fingerprint());
        same.and_then(Vec::pop).is_some()
    };
    let new = now
        .into_iter()
        .filter(|finding| !was_known(finding))
        .collect();
    let gone = known.into_values().flatten().collect();
    Change { new, gone }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::finding::{Level, Place, Remedy, Verdict};
    use crate::source::{FileId, Span};

    /// An error about `thing`.
    pub(in crate::command::check) fn finding(thing: &str) -> Finding {
        Finding {
            rule: "cord-overload",
            level: Level::Error,
            verdict: Verdict::Broken,
            headline: format!("{thing} carries too much"),
            main: Place {
                span: Span::new(FileId(0), 0, 1),
                note: String::new(),
            },
            path: Vec::new(),
            main_position: 0,
            arithmetic: Vec::new(),
            basis: Vec::new(),
            remedy: Remedy::default(),
            about: vec![thing.into()],
            kind: "",
        }
    }

    #[test]
    fn only_what_was_not_there_before_is_new() {
        let before = [finding("W-1"), finding("W-2")];
        let moved = Finding {
            headline: "W-1 carries 12 A".to_owned(),
            ..finding("W-1")
        };
        let change = change(vec![moved, finding("W-3")], &before);
        assert_eq!(change.new, [finding("W-3")]);
        assert_eq!(change.gone, [&finding("W-2")]);
    }

    #[test]
    fn the_same_fault_once_more_is_new_once() {
        let before = [finding("W-1")];
        let change = change(vec![finding("W-1"), finding("W-1")], &before);
        assert_eq!((change.new.len(), change.gone.len()), (1, 0));
    }
}
