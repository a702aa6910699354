//! One file of an open site: its text now, and the definitions that count.

use std::ops::Range;
use std::sync::Arc;

use crate::date::Date;
use crate::finding::Finding;
use crate::judgement::{FileRead, Site};
use crate::model::fault::Fault;
use crate::model::{Fragment, Model, Sections};
use crate::rules::{self, Check};
use crate::source::{FileId, Source, Span};
use crate::yaml::{Kind, Limits, Tree};

use super::change::{Change, Drift};

/// A file of an open site.
#[derive(Debug)]
pub struct OpenFile {
    id: FileId,
    /// The text as it stands in the editor, or on disk.
    now: Arc<Source>,
    /// The definitions that count: of the text now or, if that cannot be read, of the last that could.
    read: Arc<FileRead>,
    /// From the text that was read to the text now.
    drift: Drift,
    /// What is wrong with the text now, while an earlier one counts.
    unreadable: Vec<Finding>,
}

/// What an edit does to the definitions that count.
#[derive(Debug)]
pub(super) enum Effect {
    /// Nothing: a comment, a blank.
    None,
    /// The text cannot be read to its end now; the definitions stay as they were.
    Broken,
    /// Others count now; these did before, and this is the way from their text to the text now.
    Reread(Arc<FileRead>, Drift),
}

impl OpenFile {
    /// A file as it was read.
    pub fn new(id: FileId, read: Arc<FileRead>) -> Self {
        Self {
            id,
            now: Arc::new(read.source.clone()),
            read,
            drift: Drift::default(),
            unreadable: Vec::new(),
        }
    }

    /// Its id.
    pub fn id(&self) -> FileId {
        self.id
    }

    /// The text as it stands now.
    pub fn now(&self) -> &Arc<Source> {
        &self.now
    }

    /// The definitions that count.
    pub fn read(&self) -> &Arc<FileRead> {
        &self.read
    }

    /// The sections that count.
    pub fn sections(&self) -> &Sections {
        self.read.fragment.sections()
    }

    /// What is wrong with the text now, while an earlier one counts.
    pub fn unreadable(&self) -> &[Finding] {
        &self.unreadable
    }

    /// Whether the text as it stands cannot be read to its end.
    pub fn is_broken(&self) -> bool {
        !self.unreadable.is_empty() || self.read.broken.is_some()
    }

    /// Where bytes of the text that was read are in the text now.
    pub fn carry(&self, span: Span) -> Span {
        self.drift.carry(span)
    }

    /// The YAML of the text as it stands.
    pub fn tree(&self) -> Tree {
        parse(self.id, &self.now.text)
    }

    /// Puts `text` in the place of the text now.
    pub(super) fn edit(&mut self, text: Arc<str>, change: Change, today: Date) -> Effect {
        let was_broken = !self.unreadable.is_empty();
        let is_same = !was_broken
            && self.read.broken.is_none()
            && same_meaning(self.id, &self.now.text, &text, change);
        let path = self.now.path.clone();
        self.now = Arc::new(Source::new(path.clone(), Arc::clone(&text)));
        self.drift.push(change);
        if is_same {
            return Effect::None;
        }
        let read = FileRead::new(self.id, path, text.as_bytes().to_vec());
        if read.broken.is_some() && self.read.broken.is_none() {
            self.unreadable = unreadable(&read.fragment, today);
            return Effect::Broken;
        }
        self.unreadable.clear();
        let before = std::mem::replace(&mut self.read, Arc::new(read));
        Effect::Reread(before, std::mem::take(&mut self.drift))
    }
}

fn parse(id: FileId, text: &Arc<str>) -> Tree {
    Tree::parse(id, text, &Limits::default()).0
}

/// Whether two texts hold the same values in the same places, and the change lies between them.
fn same_meaning(id: FileId, old: &Arc<str>, new: &Arc<str>, change: Change) -> bool {
    let (old, old_problems) = Tree::parse(id, old, &Limits::default());
    let (new, new_problems) = Tree::parse(id, new, &Limits::default());
    old_problems.is_empty()
        && new_problems.is_empty()
        && old.len() == new.len()
        && old.roots().len() == new.roots().len()
        && is_between_values(&old, change.old())
        && old.ids().all(|node| is_alike(&old, &new, node))
}

fn is_alike(old: &Tree, new: &Tree, node: crate::yaml::NodeId) -> bool {
    old.kind(node) == new.kind(node)
        && old.text(node) == new.text(node)
        && old.tag(node) == new.tag(node)
        && old.resolve(node) == new.resolve(node)
        && old.children(node).eq(new.children(node))
}

/// Whether no byte of a value or key is among those that are gone, nor has anything come between them.
fn is_between_values(tree: &Tree, gone: Range<usize>) -> bool {
    let scalars = tree
        .ids()
        .filter(|&node| !matches!(tree.kind(node), Kind::List | Kind::Mapping | Kind::Empty));
    let mut spans = scalars.map(|node| tree.span(node).range());
    spans.all(|span| span.end <= gone.start || span.start >= gone.end)
}

/// What cannot be read in a file, as findings of the rule that says so.
fn unreadable(fragment: &Fragment, today: Date) -> Vec<Finding> {
    let is_unreadable = |fault: &Fault| matches!(fault, Fault::Unreadable { .. });
    let faults = fragment.faults().iter();
    let faults = faults.filter(|noted| is_unreadable(&noted.fault)).cloned();
    let fragment = Fragment::of(Sections::default(), faults.collect());
    let site = Site::of(Model::assemble(vec![fragment], FileId(0)));
    let mut findings = Vec::new();
    if let Check::Site(check) = rules::records::unreadable_file::RULE.check {
        check(&site.analysis(today), &mut findings);
    }
    for finding in &mut findings {
        finding.remedy.advice += KEPT;
    }
    findings.sort_by(Finding::order);
    findings
}

/// What counts while a file cannot be read.
const KEPT: &str =
    " Until then the site is judged by what this file said when it could last be read.";

#[cfg(test)]
mod tests {
    use super::*;

    fn is_same(old: &str, new: &str) -> bool {
        let change = Change::between(old, new).unwrap();
        same_meaning(FileId(0), &old.into(), &new.into(), change)
    }

    const TEXT: &str = "pdus:\n  a: {rack: r1}\ndevices:\n  d: {model: m, draw: 4 W}\n";

    #[test]
    fn comments_and_blanks_mean_nothing() {
        for (old, new) in [
            ("devices:", "\n# why\n\ndevices:"),
            ("devices:", "devices:   # all"),
            ("{model: m, draw", "{model: m,   draw"),
            ("  d:", "  # one\n  d:"),
            ("4 W}\n", "4 W}\n# end\n"),
        ] {
            let text = TEXT.replace(old, new);
            assert!(is_same(TEXT, &text), "{text}");
            assert!(is_same(&text, TEXT), "{text}");
        }
    }

    #[test]
    fn everything_else_does() {
        for (old, new) in [
            ("4 W", "40 W"),
            ("4 W", "'4 W'"),
            ("4 W", "4  W"),
            ("draw", "# draw"),
            ("r1", "*r1"),
            ("devices:\n", ""),
        ] {
            assert!(!is_same(TEXT, &TEXT.replace(old, new)), "{new}");
        }
    }
}
