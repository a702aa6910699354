//! The table of rules.

use crate::report::{Look, RuleCard, spelt, wrapped};

/// All rules, by subject in the order of the index: name, level, hazard.
pub(super) fn shown(rules: &[RuleCard<'_>], look: &Look) -> String {
    let longest = rules.iter().map(|rule| rule.name.len()).max().unwrap_or(0);
    let mut text = String::new();
    for group in rules.chunk_by(|a, b| a.subject == b.subject) {
        let blank = if text.is_empty() { "" } else { "\n" };
        text += &format!("{blank}{}\n", group[0].subject);
        for rule in group {
            let head = format!("  {:longest$}  {:7}  ", rule.name, rule.level.word());
            let indent = " ".repeat(head.len());
            let summary = spelt(rule.summary, look.unicode);
            let lines = wrapped(&summary, look.width.saturating_sub(head.len()));
            for (at, line) in lines.iter().enumerate() {
                let before = if at == 0 { &head } else { &indent };
                text += &format!("{before}{line}\n");
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Level;

    #[test]
    fn rules_stand_by_subject_with_their_hazard() {
        let card = |name, subject, level, summary| RuleCard {
            name,
            former_names: &[],
            subject,
            level,
            summary,
            page: "",
        };
        let rules = [
            card("loop", "records", Level::Error, "A thing feeds itself."),
            card(
                "idle",
                "records",
                Level::Note,
                "Nothing uses it, and it misleads whoever reads.",
            ),
            card(
                "cord-overload",
                "conductors",
                Level::Warning,
                "The cord gets hot.",
            ),
        ];
        let look = Look {
            width: 50,
            color: false,
            unicode: true,
        };
        let expected = "\
records
  loop           error    A thing feeds itself.
  idle           note     Nothing uses it, and it
                          misleads whoever reads.

conductors
  cord-overload  warning  The cord gets hot.
";
        assert_eq!(shown(&rules, &look), expected);
    }
}
