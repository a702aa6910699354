//! The gravest of many findings: more than some hundreds nobody reads in one go.

use std::borrow::Cow;
use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::Counts;
use crate::comparison::Tally;
use crate::finding::Finding;
use crate::rules::records::unreadable_file;

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
    /// How their atoms stand to those before a change.
    pub(super) tally: Tally,
}

impl<'a> Gravest<'a> {
    /// The gravest of `findings`, at most so many; all of them for `None`.
    pub fn of(findings: &'a [Finding], most: Option<usize>) -> Self {
        let mut left_out = LeftOut::default();
        // What was there before a change is counted in the closing words alone, and weighs nothing here.
        let (old, mut by_weight): (Vec<usize>, Vec<usize>) =
            (0..findings.len()).partition(|&at| findings[at].since.is_old());
        let most = most.filter(|most| *most < by_weight.len());
        let Some(most) = most else {
            return Self {
                shown: Cow::Borrowed(findings),
                left_out,
            };
        };
        // What was not judged may hide anything, and its advice says what to do.
        let hides = |finding: &Finding| finding.rule == unreadable_file::RULE.name;
        let weight = |at: &usize| {
            let finding = &findings[*at];
            let hides_nothing = !hides(finding);
            (hides_nothing, Reverse(finding.level), finding.verdict, *at)
        };
        by_weight.sort_unstable_by_key(weight);
        let others = by_weight.split_off(most);
        others.iter().for_each(|&at| left_out.add(&findings[at]));
        let mut shown = by_weight;
        shown.extend(old);
        shown.sort_unstable();
        Self {
            shown: shown.iter().map(|&at| findings[at].clone()).collect(),
            left_out,
        }
    }
}

impl LeftOut {
    fn add(&mut self, finding: &Finding) {
        *self.by_rule.entry(finding.rule).or_default() += 1;
        self.tally.join(&Tally::of([finding]));
        self.counts.add(finding);
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
        let findings = [
            finding("feed-colour", Level::Note, Verdict::Broken),
            finding("plug-fuse", Level::Error, Verdict::Open),
            finding("cord-too-long", Level::Warning, Verdict::Broken),
            finding("plug-fuse", Level::Error, Verdict::Broken),
            finding("cord-too-long", Level::Warning, Verdict::Broken),
        ];
        let gravest = Gravest::of(&findings, Some(2));
        assert_eq!(*gravest.shown, [findings[1].clone(), findings[3].clone()]);
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
        assert_eq!(shown, ["plug-fuse", "cord-too-long", "plug-fuse"]);
        assert_eq!(gravest.left_out.tally.new, 2);
        for most in [None, Some(5), Some(99)] {
            let all = Gravest::of(&findings, most);
            assert_eq!((all.shown.len(), all.left_out.count()), (5, 0));
        }
    }
}
