//! The snag list as it is written; `model::snags` reads it.

use crate::ink::{Plain, Written};
use crate::model::signed::Signed;
use crate::model::snags::things;
use crate::rules::Known;

const HEADER: &str = "\
# Findings of this site that are accepted as known: a check counts them and fails for new ones only.
# Each is a hazard that stays until it is put right. A line accepts one finding, up to its level and up
# to the number that it was written at. The list may only shrink: strike a line when its fault is put
# right, or let `cordwright snags` strike all such lines.
";

/// The text of a list of `findings`, in one order: by rule, then by the things they are about.
pub fn snag_list<'a>(known: impl IntoIterator<Item = &'a Known>) -> Written<Plain> {
    let mut lines: Vec<(&str, String, String)> = known.into_iter().flat_map(lines).collect();
    lines.sort();
    let mut text = Written::new();
    text.ours(HEADER);
    for (_, _, line) in lines {
        text.whole(&line).ours("\n");
    }
    text
}

/// A line for every atom. What was signed stays as it was; what was not is signed at what it is now.
fn lines(known: &Known) -> impl Iterator<Item = (&str, String, String)> {
    let finding = &known.finding;
    let measured = || Some(Signed::from(finding.measure.as_ref()?));
    let signed = known.signed.or_else(measured);
    let signed = signed.map_or(String::new(), |signed| format!("{} ", signed.word()));
    finding.atoms().map(move |atom| {
        let things = things(atom.names());
        let (fingerprint, level) = (atom.fingerprint(), finding.level.word());
        let line = format!("{fingerprint} {level:7} {signed}{} {things}", finding.rule);
        (finding.rule, things, line.trim_end().to_owned())
    })
}

#[cfg(test)]
mod tests {
    use super::super::sample::{place, plain, sample};
    use super::*;
    use crate::finding::Finding;

    #[test]
    fn lines_are_sorted_by_rule_and_thing() {
        let sample = sample();
        let main = || place(&sample.sources, "cords.yaml", "W-0413", "");
        let about = |rule, names: &[&str]| Known {
            finding: Finding {
                about: names.iter().copied().map(Into::into).collect(),
                ..plain(rule, main())
            },
            signed: None,
        };
        let findings = [
            about("plug-fuse", &["W-2"]),
            about("plug-fuse", &["W-1", "lamp\n2"]),
            about("feed-shared", &["a"]),
            about("feed-shared", &[]),
        ];
        let text = snag_list(&findings).into_string();
        let lines = text.lines().filter(|line| !line.starts_with('#'));
        let without_fingerprint: Vec<&str> = lines.map(|line| &line[17..]).collect();
        let expected = [
            "error   feed-shared",
            "error   feed-shared a",
            "error   plug-fuse W-1, lamp 2",
            "error   plug-fuse W-2",
        ];
        assert_eq!(without_fingerprint, expected);
    }
}
