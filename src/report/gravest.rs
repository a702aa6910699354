//! The gravest of many findings, by the pieces they are told in: more than some hundreds nobody reads in
//! one go.

use std::borrow::Cow;
use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::Counts;
use super::folded::{Folded, folded};
use crate::comparison::Tally;
use crate::finding::Finding;

/// Findings of a site that are shown, and those that are only counted.
#[derive(Clone, Debug)]
pub struct Gravest<'a> {
    /// The gravest, in the order of all.
    pub shown: Cow<'a, [Finding]>,
    /// The others.
    pub left_out: LeftOut,
}

/// Findings that are only counted.
#[derive(Clone, Debug, Default)]
pub struct LeftOut {
    by_rule: BTreeMap<&'static str, usize>,
    pub(super) counts: Counts,
    /// Facts that are missing for them.
    pub(super) facts: usize,
    /// How their atoms stand to those before a change.
    pub(super) tally: Tally,
}

impl<'a> Gravest<'a> {
    /// The findings of the gravest pieces, at most so many pieces; all of them for `None`.
    pub fn of(findings: &'a [Finding], most: Option<usize>) -> Self {
        let mut left_out = LeftOut::default();
        let whole = |left_out| Self {
            shown: Cow::Borrowed(findings),
            left_out,
        };
        let Some(most) = most else {
            return whole(left_out);
        };
        let mut pieces = folded(findings);
        if pieces.len() <= most {
            return whole(left_out);
        }
        let others = pieces.split_off(most);
        others.iter().for_each(|piece| left_out.add(piece));
        // What was there before a change is counted in the closing words alone, and weighs nothing here.
        let old = findings.iter().filter(|finding| finding.since.is_old());
        let mut shown: Vec<&Finding> = pieces.iter().flat_map(Folded::all).chain(old).collect();
        shown.sort_unstable_by(|a, b| a.order(b));
        Self {
            shown: shown.into_iter().cloned().collect(),
            left_out,
        }
    }
}

impl LeftOut {
    fn add(&mut self, piece: &Folded<'_>) {
        for finding in piece.all() {
            *self.by_rule.entry(finding.rule).or_default() += 1;
            self.tally.join(&Tally::of([finding]));
            self.counts.add(finding);
        }
        self.facts += piece.facts().len();
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.by_rule.values().sum()
    }

    /// How many there are of each rule, the most first: `unknown-key 300, missing-key 12`.
    pub(super) fn by_rule(&self) -> String {
        let mut rules: Vec<_> = self.by_rule.iter().collect();
        rules.sort_by_key(|(rule, count)| (Reverse(**count), **rule));
        let rules: Vec<String> = rules
            .iter()
            .map(|(rule, count)| format!("{rule} {count}"))
            .collect();
        rules.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{place, plain, sample};
    use super::*;
    use crate::finding::{Level, Since, Verdict};

    #[test]
    fn the_gravest_are_shown_in_the_order_of_all_and_the_others_counted() {
        let sample = sample();
        let at = place(&sample.sources, "cords.yaml", "W-0413", "here");
        let finding = |rule, level, verdict| Finding {
            level,
            verdict,
            ..plain(rule, at.clone())
        };
        let mut findings = [
            finding("feed-colour", Level::Note, Verdict::Broken),
            finding("plug-fuse", Level::Error, Verdict::Open),
            finding("cord-too-long", Level::Warning, Verdict::Broken),
            finding("plug-fuse", Level::Error, Verdict::Broken),
            finding("cord-too-long", Level::Warning, Verdict::Broken),
        ];
        findings.sort_by(Finding::order);
        let gravest = Gravest::of(&findings, Some(2));
        assert!(
            gravest
                .shown
                .iter()
                .all(|finding| finding.rule == "plug-fuse")
        );
        assert_eq!(gravest.shown.len(), 2);
        assert_eq!(gravest.left_out.by_rule(), "cord-too-long 2, feed-colour 1");
        let counts = gravest.left_out.counts;
        assert_eq!(
            (counts.errors, counts.warnings, counts.notes, counts.open),
            (0, 2, 1, 0)
        );
        let changed = findings.clone().map(|finding| Finding {
            since: match finding.rule {
                "plug-fuse" => Since::Unchanged,
                _ => Since::New,
            },
            ..finding
        });
        let gravest = Gravest::of(&changed, Some(1));
        let shown: Vec<&str> = gravest.shown.iter().map(|finding| finding.rule).collect();
        assert_eq!(shown, ["cord-too-long", "plug-fuse", "plug-fuse"]);
        assert_eq!(gravest.left_out.tally.new, 2);
        for most in [None, Some(5), Some(99)] {
            let all = Gravest::of(&findings, most);
            assert_eq!((all.shown.len(), all.left_out.count()), (5, 0));
        }
    }
}
