//! Names of rules as people type them.

use super::check::note;
use crate::failure::Failure;
use crate::ink::short;
use crate::rules::{RULES, Rule};

/// The one of `rules` that goes, or once went, by `name`.
///
/// # Errors
/// There is none; the nearest one that is comes with the failure.
pub(super) fn known(name: &str, rules: &[&'static Rule]) -> Result<&'static Rule, Failure> {
    if let Some(rule) = rules.iter().find(|rule| rule.answers_to(name)) {
        return Ok(rule);
    }
    let failure = Failure::new(format!("there is no rule \"{}\"", short(name)));
    let names = rules.iter().map(|rule| rule.name);
    Err(failure.advise(match nearest(name, names) {
        Some(rule) => format!("Did you mean \"{rule}\"? \"cordwright cite\" lists all rules."),
        None => "\"cordwright cite\" lists all rules.".to_owned(),
    }))
}

/// The names of today for names of rules as typed; a former name is accepted, and told of.
///
/// # Errors
/// A name that no rule ever had.
pub(super) fn of_today(typed: &[String]) -> Result<Vec<String>, Failure> {
    let names = typed.iter().map(|name| {
        let rule = known(name, RULES)?;
        if let Some(words) = renamed(rule, name) {
            note(&words);
        }
        Ok(rule.name.to_owned())
    });
    names.collect()
}

/// What to say of a rule that was called by a former name.
fn renamed(rule: &Rule, typed: &str) -> Option<String> {
    let now = rule.name;
    let words = format!("the rule \"{typed}\" is now called \"{now}\"; write that");
    (now != typed).then_some(words)
}

/// The name most like `name`, if any is much like it; the first of several in order of name.
pub(super) fn nearest<'a>(name: &str, rules: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let spelt = name.to_lowercase().replace(['_', ' '], "-");
    let likeness = |rule: &str| {
        let swaps = strsim::normalized_damerau_levenshtein(&spelt, rule);
        // Part of a long name is a good hint too, better than a few letters in common.
        let part = spelt.len() >= 4 && rule.contains(&spelt);
        if part { swaps.max(0.75) } else { swaps }
    };
    let scored = rules.map(|rule| (likeness(rule), rule));
    let close = scored.filter(|(score, _)| *score >= 0.55);
    let best = close.max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)));
    best.map(|(_, rule)| rule)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Level;
    use crate::rules::{Check, Subject};

    const fn rule(name: &'static str, former_names: &'static [&'static str]) -> Rule {
        Rule {
            name,
            subject: Subject::Records,
            level: Level::Error,
            gravest: Level::Error,
            practice: None,
            summary: "",
            page: "",
            former_names,
            check: Check::Site(|_, _| {}),
        }
    }

    static OVERLOAD: Rule = rule("cord-overload", &["cord-overlaid", "cord-hot"]);
    static BOOKED: Rule = rule("outlet-booked-twice", &[]);
    static RETENTION: Rule = rule("retention-missing", &[]);
    static LOOP: Rule = rule("loop", &[]);
    static ALL: [&Rule; 4] = [&OVERLOAD, &BOOKED, &RETENTION, &LOOP];

    fn advice(name: &str) -> String {
        known(name, &ALL).unwrap_err().advice.unwrap()
    }

    #[test]
    fn a_former_name_means_the_rule_and_is_told_of() {
        let rule = known("cord-hot", &ALL).unwrap();
        assert_eq!(rule.name, "cord-overload");
        assert_eq!(rule.first_name(), "cord-overlaid");
        let note = renamed(rule, "cord-hot").unwrap();
        assert!(note.contains("is now called \"cord-overload\""), "{note}");
        assert_eq!(renamed(rule, "cord-overload"), None);
    }

    #[test]
    fn the_nearest_name_is_offered() {
        for (typed, meant) in [
            ("cord-overlaod", "cord-overload"),
            ("Retention_Missing", "retention-missing"),
            ("booked-twice", "outlet-booked-twice"),
            ("lopo", "loop"),
        ] {
            assert!(advice(typed).contains(&format!("\"{meant}\"?")), "{typed}");
        }
    }

    #[test]
    fn nothing_is_offered_for_what_is_like_nothing() {
        for typed in ["", "x", "voltage", "ü"] {
            assert!(!advice(typed).contains("Did you mean"), "{typed}");
        }
        assert_eq!(known("loop", &ALL).unwrap().name, "loop");
    }
}
