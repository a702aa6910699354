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
/// once is new once. What is there now but was agreed or is known, `set_aside`, is neither new nor
/// gone.
pub(super) fn change<'a>(
    now: Vec<Finding>,
    set_aside: impl IntoIterator<Item = &'a Finding>,
    before: &[Finding],
) -> Change<'_> {
    let mut earlier = Earlier::of(before);
    let was_there = |finding: &Finding| earlier.take(finding).is_some();
    let (_, new) = now.into_iter().partition(was_there);
    for finding in set_aside {
        earlier.take(finding);
    }
    let gone = earlier.0.into_values().flatten().collect();
    Change { new, gone }
}

/// Findings of the earlier judgement, by fingerprint, that nothing has been matched with yet.
struct Earlier<'a>(BTreeMap<String, Vec<&'a Finding>>);

impl<'a> Earlier<'a> {
    fn of(before: &'a [Finding]) -> Self {
        let mut earlier: BTreeMap<String, Vec<&Finding>> = BTreeMap::new();
        for finding in before.iter().rev() {
            let same = earlier.entry(finding.fingerprint()).or_default();
            same.push(finding);
        }
        Self(earlier)
    }

    fn take(&mut self, finding: &Finding) -> Option<&'a Finding> {
        self.0.get_mut(&finding.fingerprint())?.pop()
    }
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
            first_name: "cord-overload",
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
            sufferers: Vec::new(),
            measure: None,
            since: crate::finding::Since::NotAsked,
        }
    }

    #[test]
    fn only_what_was_not_there_before_is_new() {
        let before = [finding("W-1"), finding("W-2")];
        let moved = Finding {
            headline: "W-1 carries 12 A".to_owned(),
            ..finding("W-1")
        };
        let change = change(vec![moved, finding("W-3")], [], &before);
        assert_eq!(change.new, [finding("W-3")]);
        assert_eq!(change.gone, [&finding("W-2")]);
    }

    #[test]
    fn the_same_fault_once_more_is_new_once() {
        let before = [finding("W-1")];
        let change = change(vec![finding("W-1"), finding("W-1")], [], &before);
        assert_eq!((change.new.len(), change.gone.len()), (1, 0));
    }

    #[test]
    fn what_is_set_aside_is_not_put_right() {
        let before = [finding("W-1"), finding("W-2")];
        let change = change(vec![], [&finding("W-1")], &before);
        assert_eq!(change.gone, [&finding("W-2")]);
        assert!(change.new.is_empty());
    }
}
