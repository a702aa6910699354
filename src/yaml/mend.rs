//! What to do when the text breaks off: keep what was read, close what is open, say why.

use std::ops::Range;

use granit_parser::ScanError;

use super::build::{Builder, MOST_BYTES};
use super::place::Role;
use super::tree::Content;
use super::{Problem, words};
use crate::source::Span;

impl Builder<'_> {
    /// Keeps what was complete before the error and closes what was open.
    pub(super) fn broken(&mut self, error: &ScanError) {
        let at = error.marker().byte_offset().unwrap_or(self.text.len());
        let at = at.min(self.text.len());
        let words = words::explain(error.kind(), self.text, at, self.limits.depth);
        let span = self.span(words::range(error.kind(), self.text, at));
        self.tree.breaks.push(span);
        self.problems.push(Problem {
            span,
            message: words.message,
            advice: words.advice,
            related: self.open_bracket(at),
        });
        self.close_all(at);
    }

    /// The bracket around the error, unless the error is about that bracket.
    fn open_bracket(&self, at: usize) -> Option<(Span, String)> {
        let open = self.open.last().filter(|open| open.bracketed)?;
        let lo = self.lo(open.id);
        let span = self.span(lo..lo + 1);
        (lo != at).then(|| (span, "the bracket that is open here".to_owned()))
    }

    /// Ends all open collections at `at`, each mapping with a value for its last key.
    fn close_all(&mut self, at: usize) {
        self.tree.complete = false;
        while let Some(open) = self.open.last() {
            let id = open.id;
            if matches!(self.role(), Role::Value(_)) {
                self.empty(self.last_end, false);
            }
            let gap = self.text.get(self.last_end..at).unwrap_or_default();
            self.last_end += gap.trim_ascii_end().len();
            self.open.pop();
            self.close(id);
            if let Content::List { cut, .. } | Content::Mapping { cut, .. } =
                &mut self.tree.nodes[id.index()].content
            {
                *cut = true;
            }
        }
    }

    pub(super) fn is_over_limit(&mut self, range: Range<usize>) -> bool {
        let what = if self.tree.nodes.len() > self.limits.nodes {
            format!("{} names and values", self.limits.nodes)
        } else if self.tree.anchors.len() > self.limits.anchors {
            format!("{} anchors", self.limits.anchors)
        } else {
            return false;
        };
        self.problem(
            range,
            &format!("The file has more than {what}; from here on it was not read."),
            "Split it into several files.",
        );
        self.close_all(self.last_end);
        true
    }

    pub(super) fn too_large(&mut self) {
        self.tree.complete = false;
        let size = self.text.len();
        let most = self.limits.bytes.min(MOST_BYTES);
        self.problem(
            0..0,
            &format!("The file has {size} bytes; files of more than {most} bytes are not read."),
            "Split it into several files.",
        );
    }
}
