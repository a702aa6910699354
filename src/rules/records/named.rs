//! Rules as a site names them: in departures, in `site.levels` and on the snag list.

use crate::finding::{Finding, Level};
use crate::model::Model;
use crate::model::value::{Name, Spanned};
use crate::rules::{Draft, Rule};

use super::written;

/// A place that names a rule.
#[derive(Debug)]
pub struct Naming<'a> {
    /// The name.
    pub rule: &'a Spanned<Name>,
    /// The thing that names it.
    pub owner: &'a str,
    /// What that is called in a sentence.
    pub called: String,
}

/// All places of a site that name a rule.
pub fn namings(model: &Model) -> impl Iterator<Item = Naming<'_>> {
    let departures = model.departures.iter().filter_map(|departure| {
        let owner = departure
            .value
            .at
            .known()
            .map_or("a departure", Name::as_str);
        Some(Naming {
            rule: departure.value.rule.given()?,
            owner,
            called: format!("the departure at {owner}"),
        })
    });
    let levels = model.site.levels.items().iter().map(|level| Naming {
        rule: &level.name,
        owner: "site",
        called: "the site".to_owned(),
    });
    let snags = model.snags.iter().map(|snag| Naming {
        rule: &snag.value.rule,
        owner: "the snag list",
        called: "the snag list".to_owned(),
    });
    departures.chain(levels).chain(snags)
}

/// Says of a name that `meant` no longer goes by what it is called now; `speaker` is the rule that
/// says so.
pub fn former_name(naming: &Naming<'_>, meant: &Rule, speaker: &Rule) -> Option<Finding> {
    let Naming {
        rule,
        owner,
        called,
    } = naming;
    if meant.name == rule.value {
        return None;
    }
    let headline = format!(
        "{called} names the rule `{}` by its former name: it still counts, but the rule is now called `{}`",
        rule.value, meant.name
    );
    let draft = Draft::new(
        speaker,
        headline,
        rule.span,
        "a former name",
        written::format(),
    )
    .level(Level::Note)
    .kind("former")
    .about([owner, rule.value.as_str()])
    .advice(format!("Write `{}`.", meant.name))
    .edit(rule.span, meant.name);
    Some(draft.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Verdict;
    use crate::rules::Subject;
    use crate::rules::{Check, RULES};
    use crate::source::{FileId, Span};

    static RENAMED: Rule = Rule {
        name: "cord-hot",
        subject: Subject::Conductors,
        level: Level::Error,
        gravest: Level::Error,
        practice: None,
        summary: "",
        page: "",
        former_names: &["cord-warm"],
        check: Check::Site(|_, _| {}),
    };

    fn naming(rule: &Spanned<Name>) -> Naming<'_> {
        Naming {
            rule,
            owner: "W-1",
            called: "the departure at W-1".to_owned(),
        }
    }

    #[test]
    fn a_former_name_is_a_note_with_the_edit_that_mends_it() {
        let span = Span::new(FileId(0), 4, 13);
        let written = Spanned {
            value: "cord-warm".into(),
            span,
        };
        let finding = former_name(&naming(&written), &RENAMED, RULES[0]).expect("a note");
        assert_eq!(
            (finding.level, finding.verdict),
            (Level::Note, Verdict::Broken)
        );
        assert!(finding.headline.contains("now called `cord-hot`"));
        let edit = &finding.remedy.edits[0];
        assert_eq!((edit.span, edit.text.as_str()), (span, "cord-hot"));
    }

    #[test]
    fn the_name_of_today_is_no_finding() {
        let written = Spanned {
            value: "cord-hot".into(),
            span: Span::new(FileId(0), 0, 8),
        };
        assert_eq!(former_name(&naming(&written), &RENAMED, RULES[0]), None);
    }
}
