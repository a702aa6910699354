//! Which level a rule has at a site, and where that comes from.

use crate::finding::Level;
use crate::model::site::{LevelWord, RuleLevel};
use crate::model::value::Named;
use crate::policy::Policy;
use crate::tables::Practice;

use super::Rule;

/// The level of a rule at a site.
#[derive(Clone, Copy, Debug)]
pub struct Standing<'m> {
    /// The level; `None` where the rule does not judge.
    pub level: Option<Level>,
    /// Where that comes from.
    pub origin: Origin<'m>,
}

/// Where the level of a rule comes from.
#[derive(Clone, Copy, Debug)]
pub enum Origin<'m> {
    /// From the rule itself.
    BuiltIn,
    /// From a line of `site.levels`.
    Set(&'m Named<RuleLevel>),
    /// From the rule itself: the line of `site.levels` does not count, because it cannot be read or
    /// switches the rule off without a reason. A finding of the records says so.
    Refused(&'m Named<RuleLevel>),
    /// The rule judges under this practice only, which is not the site's.
    Elsewhere(Practice),
}

impl<'m> Standing<'m> {
    /// The level of `rule` under a policy, at a site of this practice.
    pub fn of(policy: &Policy<'m>, practice: Option<Practice>, rule: &Rule) -> Self {
        let levels = policy.levels();
        let names = std::iter::once(&rule.name).chain(rule.former_names);
        let lines = names.filter_map(|name| levels.find(name));
        let (counting, refused): (Vec<_>, Vec<_>) =
            lines.map(|id| &levels[id]).partition(|line| counts(line));
        let built_in = Some(rule.level);
        let (level, origin) = match (counting.first(), refused.first()) {
            (Some(&line), _) => (set_level(line), Origin::Set(line)),
            (None, Some(&line)) => (built_in, Origin::Refused(line)),
            (None, None) => (built_in, Origin::BuiltIn),
        };
        let standing = Self { level, origin };
        match rule.practice {
            Some(only) if level.is_some() && !rule.binds(practice) => Self {
                level: None,
                origin: Origin::Elsewhere(only),
            },
            _ => standing,
        }
    }

    /// Whether the site has switched the rule off, with a reason.
    pub fn is_switched_off(&self) -> bool {
        self.level.is_none() && matches!(self.origin, Origin::Set(_))
    }

    /// The gravest that a finding of the rule, whose standing this is, may be at the site; `None` where
    /// it does not judge.
    pub fn gravest(&self, rule: &Rule) -> Option<Level> {
        let own = self.level.map(|_| rule.gravest);
        self.set().or(own)
    }

    /// The level that the site has set for all findings of the rule.
    pub fn set(&self) -> Option<Level> {
        self.level.filter(|_| matches!(self.origin, Origin::Set(_)))
    }
}

/// Whether a line of `site.levels` counts: nobody stands for a rule switched off without a reason.
fn counts(line: &RuleLevel) -> bool {
    match line.level.known() {
        Some(LevelWord::Off) => line.reason.known().is_some(),
        Some(_) => true,
        None => false,
    }
}

fn set_level(line: &RuleLevel) -> Option<Level> {
    match line.level.known()? {
        LevelWord::Error => Some(Level::Error),
        LevelWord::Warning => Some(Level::Warning),
        LevelWord::Note => Some(Level::Note),
        LevelWord::Off => None,
    }
}
