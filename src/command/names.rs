//! Names of rules as people type them.

use crate::failure::Failure;

/// Checks that `name` is one of `rules`.
///
/// # Errors
/// It is not; the nearest one that is comes with the failure.
pub(super) fn known<'a>(
    name: &str,
    rules: impl Iterator<Item = &'a str> + Clone,
) -> Result<&'a str, Failure> {
    if let Some(rule) = rules.clone().find(|rule| *rule == name) {
        return Ok(rule);
    }
    let failure = Failure::new(format!("there is no rule \"{name}\""));
    Err(failure.advise(match nearest(name, rules) {
        Some(rule) => format!("Did you mean \"{rule}\"? \"cordwright cite\" lists all rules."),
        None => "\"cordwright cite\" lists all rules.".to_owned(),
    }))
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

    const RULES: [&str; 4] = [
        "cord-overload",
        "outlet-booked-twice",
        "retention-missing",
        "loop",
    ];

    fn advice(name: &str) -> String {
        known(name, RULES.into_iter()).unwrap_err().advice.unwrap()
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
        assert_eq!(known("loop", RULES.into_iter()), Ok("loop"));
    }
}
