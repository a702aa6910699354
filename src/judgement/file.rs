//! One file of a site: from its bytes to what it holds.

use std::sync::Arc;

use crate::budget::Budget;
use crate::input::{Reason, SNAG_FILE, is_shared};
use crate::model::fault::Fault;
use crate::model::{self, Fragment};
use crate::source::{FileId, Source, Span};
use crate::yaml::{Limits, Problem, Tree, decode_text};

/// One file, read.
#[derive(Clone, Debug)]
pub struct FileRead {
    /// Its text.
    pub source: Source,
    /// What it holds.
    pub fragment: Fragment,
    /// Why a part of it could not be read, if so.
    pub broken: Option<String>,
    /// Why it is not judged, if it is a file of somebody else's.
    pub passed_over: Option<Reason>,
}

impl FileRead {
    /// Reads the file of this id from its bytes.
    pub fn new(id: FileId, path: String, bytes: Vec<u8>) -> Self {
        Self::within(id, path, bytes, &Budget::default())
    }

    /// The same with so much work as the budget allows.
    pub(super) fn within(id: FileId, path: String, bytes: Vec<u8>, budget: &Budget) -> Self {
        let (text, undecodable) = decode_text(id, bytes);
        let (fragment, passed_over) = if path == SNAG_FILE {
            (snag_list(id, &text, undecodable), None)
        } else if let Some(stand_in) = stand_in(id, &text) {
            (stand_in, None)
        } else {
            definitions(id, &text, undecodable, (is_shared(&path), budget))
        };
        Self {
            source: Source::new(path, text),
            broken: fragment.why_broken(),
            fragment,
            passed_over,
        }
    }
}

/// A list that cannot be read in part accepts less; that hides nothing.
fn snag_list(id: FileId, text: &str, undecodable: Option<Problem>) -> Fragment {
    let mut fragment = model::snags::read(id, text);
    fragment.add_problems(undecodable.into_iter().map(fault));
    fragment
}

/// The definitions of a file, or why none are to be looked for in it. Whatever is wrong with a file
/// of somebody else's is not ours to say; but one that cannot be read may hide a section of ours.
fn definitions(
    id: FileId,
    text: &Arc<str>,
    undecodable: Option<Problem>,
    (is_shared, budget): (bool, &Budget),
) -> (Fragment, Option<Reason>) {
    let (tree, problems) = Tree::parse(id, text, &Limits::within(budget));
    let mut fragment = match is_shared {
        true => model::read_shared_within(&tree, budget),
        false => model::read_within(&tree, budget),
    };
    let is_whole = tree.is_complete() && undecodable.is_none();
    if !fragment.has_sections && is_whole {
        return (Fragment::default(), Some(Reason::NoSection));
    }
    if !fragment.has_sections && is_text(text) && !model::may_hold_sections(text) {
        return (Fragment::default(), Some(Reason::Garbled));
    }
    fragment.is_broken |= undecodable.is_some();
    fragment.add_problems(undecodable.into_iter().chain(problems).map(fault));
    (fragment, None)
}

/// Whether there is something to be seen, and nothing that only programs write: what is neither may
/// be definitions in another encoding, packed or encrypted.
fn is_text(text: &str) -> bool {
    let is_odd = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    !text.trim().is_empty() && !text.contains(is_odd)
}

/// What begins a file that git keeps elsewhere (the pointer format of git LFS, version 1, and the
/// name it had before).
const POINTERS: [&str; 2] = [
    "version https://git-lfs.github.com/spec/v1",
    "version https://hawser.github.com/spec/v1",
];

/// What is said of a file that only stands in for one that is elsewhere.
fn stand_in(id: FileId, text: &str) -> Option<Fragment> {
    let line = text.lines().next().unwrap_or_default().trim_end();
    POINTERS.contains(&line).then(|| {
        Fragment::stand_in(Fault::Unreadable {
            span: Span::new(id, 0, line.len()),
            message:
                "Only the note that git LFS leaves in a file's place is here: the file itself \
                      is not judged."
                    .to_owned(),
            advice: "Fetch the file with `git lfs pull`, in a pull request's check too, and check \
                     again."
                .to_owned(),
            related: None,
        })
    })
}

fn fault(problem: Problem) -> Fault {
    Fault::Unreadable {
        span: problem.span,
        message: problem.message,
        advice: problem.advice,
        related: problem.related,
    }
}
