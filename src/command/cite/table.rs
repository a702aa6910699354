//! The table of rules.

use crate::ink::{Look, Page, Plain, Written};
use crate::report::RuleCard;

/// All rules, by subject in the order of the index: name, level, hazard.
pub(super) fn shown(rules: &[RuleCard<'_>], look: &Look) -> Written<Plain> {
    let longest = rules.iter().map(|rule| rule.name.len()).max().unwrap_or(0);
    let mut page = Page::new(look);
    for (number, group) in rules.chunk_by(|a, b| a.subject == b.subject).enumerate() {
        if number > 0 {
            page.blank();
        }
        page.line(&Written::of(group[0].subject));
        for rule in group {
            let head = format!("  {:longest$}  {:7}  ", rule.name, rule.level.word());
            page.beside(&Written::of(&head), rule.summary);
        }
    }
    page.end()
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
        assert_eq!(shown(&rules, &look).as_str(), expected);
    }
}
