//! What findings say of the things on a drawing.

use std::collections::BTreeMap;

use smol_str::SmolStr;

use crate::finding::{Finding, Level, Verdict};

use super::sheet::Mark;

/// The findings of a site by the names of the things that they are about.
#[derive(Clone, Debug, Default)]
pub struct Marks(BTreeMap<SmolStr, (Mark, usize)>);

impl Marks {
    /// Of each thing the gravest finding, and how many there are.
    pub fn of(findings: &[Finding]) -> Self {
        let mut marks = Self::default();
        for finding in findings {
            for name in &finding.about {
                let (mark, count) = marks.0.entry(name.clone()).or_default();
                *mark = (*mark).max(mark_of(finding));
                *count += 1;
            }
        }
        marks
    }

    /// How a thing is marked.
    pub(super) fn mark(&self, name: &str) -> Mark {
        self.0.get(name).map_or(Mark::Plain, |(mark, _)| *mark)
    }

    /// The mark in words, for those who see no colours: ` [error]`, ` [warning, 3 findings]`.
    pub(super) fn words(&self, name: &str) -> String {
        let Some((mark, count)) = self.0.get(name) else {
            return String::new();
        };
        let word = match mark {
            Mark::Error => "error",
            Mark::Warning => "warning",
            Mark::Note => "note",
            Mark::Open | Mark::Plain | Mark::Faint => "not decided",
        };
        match count {
            1 => format!(" [{word}]"),
            _ => format!(" [{word}, {count} findings]"),
        }
    }
}

fn mark_of(finding: &Finding) -> Mark {
    match (finding.verdict, finding.level) {
        (Verdict::Open, _) => Mark::Open,
        (Verdict::Broken, Level::Note) => Mark::Note,
        (Verdict::Broken, Level::Warning) => Mark::Warning,
        (Verdict::Broken, Level::Error) => Mark::Error,
    }
}
