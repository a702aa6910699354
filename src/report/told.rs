//! What is told in one piece. One missing fact can leave a dozen rules without an answer; whoever
//! reads that wants to see the place once and then what hangs on it.

use crate::finding::{Finding, Verdict};

/// A finding, and with an open point the other open points at the same place.
pub(super) struct Told<'a> {
    /// Shown in full.
    pub finding: &'a Finding,
    /// Named below it.
    pub also_open: Vec<&'a Finding>,
}

/// Sorted findings, with the open points of each place put together. What was there before a change is
/// counted in the closing words, and not told again.
pub(super) fn told(findings: &[Finding]) -> impl Iterator<Item = Told<'_>> {
    let places = findings.chunk_by(|a, b| a.main.span == b.main.span);
    places.flat_map(at_one_place)
}

fn at_one_place(findings: &[Finding]) -> Vec<Told<'_>> {
    let alone = |finding| Told {
        finding,
        also_open: Vec::new(),
    };
    let is_open = |finding: &&Finding| finding.verdict == Verdict::Open;
    let told = findings.iter().filter(|finding| !finding.since.is_old());
    let (open, broken): (Vec<&Finding>, Vec<&Finding>) = told.partition(is_open);
    let mut told: Vec<Told<'_>> = broken.into_iter().map(alone).collect();
    if let Some((&finding, others)) = open.split_first() {
        told.push(Told {
            finding,
            also_open: others.to_vec(),
        });
    }
    told
}

#[cfg(test)]
mod tests {
    use super::super::sample::{place, plain, sample};
    use super::*;

    #[test]
    fn open_points_at_one_place_are_told_together() {
        let sample = sample();
        let here = place(&sample.sources, "cords.yaml", "W-0413", "here");
        let there = place(&sample.sources, "cords.yaml", "c14-c13", "there");
        let open = |rule, at: &crate::finding::Place| Finding {
            verdict: Verdict::Open,
            ..plain(rule, at.clone())
        };
        let mut findings = vec![
            open("line-overloaded", &here),
            plain("label-pattern", here.clone()),
            open("bank-overloaded", &here),
            open("voltage-drop", &there),
        ];
        findings.sort_by(Finding::order);
        let shown: Vec<(&str, Vec<&str>)> = told(&findings)
            .map(|told| {
                let others = told.also_open.iter().map(|other| other.rule);
                (told.finding.rule, others.collect())
            })
            .collect();
        let expected: [(&str, Vec<&str>); 3] = [
            ("label-pattern", vec![]),
            ("bank-overloaded", vec!["line-overloaded"]),
            ("voltage-drop", vec![]),
        ];
        let mut shown = shown;
        shown.sort();
        let mut expected = expected.to_vec();
        expected.sort();
        assert_eq!(shown, expected);
    }
}
