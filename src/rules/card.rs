//! The rules as outputs show them.

use super::{RULES, Rule};
use crate::finding::Level;

/// What outputs say of a rule, whether it found something or not.
#[derive(Clone, Copy, Debug)]
pub struct RuleCard<'a> {
    /// The rule's name.
    pub name: &'a str,
    /// Names it went by in earlier releases.
    pub former_names: &'a [&'a str],
    /// The room it lives in: `couplers`, `conductors`, ….
    pub subject: &'a str,
    /// Its weight unless the site says otherwise.
    pub level: Level,
    /// The hazard in one line.
    pub summary: &'a str,
    /// Its page, in Markdown.
    pub page: &'a str,
}

/// What outputs say of the rules.
pub fn cards() -> Vec<RuleCard<'static>> {
    let card = |rule: &&'static Rule| RuleCard {
        name: rule.name,
        former_names: rule.former_names,
        subject: rule.subject.word(),
        level: rule.level,
        summary: rule.summary,
        page: rule.page,
    };
    RULES.iter().map(card).collect()
}
