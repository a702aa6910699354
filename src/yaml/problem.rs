//! What was wrong with a text, in plain words.

use crate::source::Span;

/// One thing that is wrong with the YAML itself, whatever the file describes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The bytes to look at.
    pub span: Span,
    /// What is wrong, in words for someone who writes no programs.
    pub message: String,
    /// What to do about it.
    pub advice: String,
    /// Another place that explains the first, and what stands there.
    pub related: Option<(Span, String)>,
}

/// More problems than anyone would work through; a hostile file could cause millions.
const MOST: usize = 1_000;

/// The problems of one file so far.
#[derive(Debug, Default)]
pub(super) struct Problems {
    list: Vec<Problem>,
}

impl Problems {
    /// Adds one; after the thousandth the list says that more were left out, and stays as it is.
    pub(super) fn push(&mut self, problem: Problem) {
        if self.list.len() < MOST {
            self.list.push(problem);
        } else if self.list.len() == MOST {
            self.list.push(Problem {
                message: format!("There are more than {MOST} mistakes; the rest are left out."),
                advice: "Correct these first, then check again.".to_owned(),
                related: None,
                ..problem
            });
        }
    }

    pub(super) fn into_list(self) -> Vec<Problem> {
        self.list
    }
}
