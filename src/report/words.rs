//! What all writers say of a finding, and how counts and lists read.

use crate::finding::{Finding, Since, Verdict};

/// What stands before a headline: the level, or that the point is not decided.
pub(super) fn heading(finding: &Finding) -> &'static str {
    match finding.verdict {
        Verdict::Open => "not decided",
        Verdict::Broken => finding.level.word(),
    }
}

/// What follows a finding's places, a heading and a line each.
pub(super) fn rows(finding: &Finding) -> Vec<(&'static str, String)> {
    let working = finding.arithmetic.iter().cloned();
    let source = finding.basis.iter().map(ToString::to_string);
    let advice = Some(finding.remedy.advice.clone()).filter(|advice| !advice.is_empty());
    let mut rows: Vec<_> = working.map(|line| ("Working", line)).collect();
    rows.extend(since(finding));
    rows.extend(sites(finding).map(|sites| ("Suffer it", sites)));
    rows.extend(source.map(|line| ("Source", line)));
    rows.extend(advice.map(|line| ("Put right", line)));
    rows
}

/// How a finding stands to an earlier state, where there is more to say than that it is new.
fn since(finding: &Finding) -> Option<(&'static str, String)> {
    match (finding.since, finding.measure) {
        (Since::Worse(then), Some(now)) => Some((
            "Worse",
            format!("{} before, {} now", then.show(), now.show()),
        )),
        (Since::New, _) if !finding.sufferers.is_empty() => {
            let names: Vec<&str> = finding.sufferers.iter().map(|name| name.as_str()).collect();
            Some(("New at", names.join(", ")))
        }
        _ => None,
    }
}

/// Sites that are named one by one.
const NAMED: usize = 12;

/// The sites that suffer it, where it lies in a catalogue that they share.
pub(super) fn sites(finding: &Finding) -> Option<String> {
    let named = finding.sites.iter().take(NAMED);
    let mut named: Vec<String> = named.map(ToString::to_string).collect();
    let more = finding.sites.len() - named.len();
    named.extend((more > 0).then(|| format!("{more} more")));
    (!named.is_empty()).then(|| listed(&named))
}

/// `1 cord`, `2 cords`: a count and its noun.
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// `a, b and c`.
pub(super) fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_as_english() {
        let parts: Vec<String> = ["a", "b", "c"].map(String::from).to_vec();
        assert_eq!(listed(&parts), "a, b and c");
        assert_eq!(listed(&parts[..2]), "a and b");
        assert_eq!(listed(&[]), "");
        assert_eq!(count(1, "cord", "cords"), "1 cord");
        assert_eq!(count(0, "cord", "cords"), "0 cords");
    }
}
