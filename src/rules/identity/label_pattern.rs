//! `label-pattern`: is every cord labelled as the site labels its cords?

use regex::{Regex, RegexBuilder};

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::model::cords::Cord;
use crate::model::optional::Optional;
use crate::model::value::Named;
use crate::rules::{Draft, rule};
use crate::source::Span;

rule!(
    "label-pattern",
    Identity,
    Warning,
    "A label that is not of the site's pattern: whoever traces the cord may pull the wrong one."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let pattern = match &analysis.model.site.label {
        Optional::Absent => return,
        Optional::Unreadable(span) => return findings.push(unreadable(*span)),
        Optional::Given(pattern) => pattern,
    };
    let text = pattern.value.trim();
    let Some(whole) = whole(text) else {
        return findings.push(unreadable(pattern.span));
    };
    let cords = analysis.model.cords.items().iter();
    let strange = cords.filter(|cord| !whole.is_match(&cord.name.value));
    findings.extend(strange.map(|cord| not_matching(cord, text, pattern.span)));
}

/// Bytes of a pattern that is read: far more than any way of labelling needs.
const LONGEST: usize = 1_000;
/// Bytes of memory that a pattern may take: every label is held against all of it.
const LARGEST: usize = 1 << 20;

/// The pattern, made to match a label from end to end; `None` if it is no pattern, or too large a one.
fn whole(pattern: &str) -> Option<Regex> {
    if pattern.len() > LONGEST {
        return None;
    }
    // Alone first: `a)|(b` is no pattern, but would become one in brackets.
    Regex::new(pattern).ok()?;
    let mut whole = RegexBuilder::new(&format!(r"\A(?:{pattern})\z"));
    whole.size_limit(LARGEST).build().ok()
}

fn not_matching(cord: &Named<Cord>, pattern: &str, at: Span) -> Finding {
    let label = &cord.name.value;
    Draft::new(
        &RULE,
        format!(
            "label {label} is not of the site's pattern {pattern}: whoever traces this cord may pull the wrong one"
        ),
        cord.name.span,
        format!("{label} does not match {pattern}"),
        Citation::marked("the site's own labelling, `site.label`"),
    )
    .above([place(at, "pattern of all labels")])
    .about([label.clone()])
    .advice("Give the cord a label of the pattern, the same at both ends, and change it in the definitions and at the rack together.")
    .finish()
}

fn unreadable(at: Span) -> Finding {
    Draft::new(
        &RULE,
        "are labels of the site's pattern? Open: the pattern cannot be read",
        at,
        "not decided: no regular expression stands here",
        Citation::marked("the site's own labelling, `site.label`"),
    )
    .wants([Fact::unreadable_of_site("label", at)])
    .about(["site"])
    .advice("Write a regular expression, like `W-[0-9]{4}`.")
    .finish()
}

#[cfg(test)]
mod tests {
    use super::whole;

    #[test]
    fn a_label_matches_from_end_to_end() {
        for (pattern, label, expected) in [
            ("W-[0-9]{4}", "W-0412", true),
            ("W-[0-9]{4}", "W-041", false),
            ("W-[0-9]{4}", "W-04123", false),
            ("W-[0-9]{4}", "xW-0412", false),
            ("W-[0-9]{4}", "W-0412\n", false),
            ("A|AB", "AB", true),
            ("A|AB", "ABA", false),
            ("(?m)^A$", "A", true),
            ("(?m)^A$", "A\nA", false),
            ("", "A", false),
            ("Ü-[0-9]+", "Ü-7", true),
        ] {
            let whole = whole(pattern).unwrap();
            assert_eq!(whole.is_match(label), expected, "{pattern} on {label:?}");
        }
    }

    #[test]
    fn what_is_no_pattern_is_not_made_one() {
        let long = "W".repeat(1_001);
        let patterns = [
            "W-[0-9",
            "a)|(b",
            "(?x) a # the rest",
            "*",
            "W{99999999}",
            &long,
        ];
        for pattern in patterns.into_iter().chain([r"(\w{90}){90}"]) {
            assert!(whole(pattern).is_none(), "{pattern}");
        }
    }
}
