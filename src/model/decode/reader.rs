//! Walks one tree and gathers what is wrong, each fault with the keys that lead to it.

use std::mem::{Discriminant, discriminant, take};

use rustc_hash::{FxHashMap, FxHashSet};

mod keys;

use crate::budget::{Budget, Work};
use crate::model::fault::{Fault, Noted};
use crate::model::value::{Name, Spanned};
use crate::source::Span;
use crate::yaml::{Kind, NodeId, Tree};

/// More keys than any record has.
pub(super) const MOST_KEYS: usize = 32;

/// Bytes of the longest text that is read: far more than any name, value or reason takes. An alias may
/// bring a text into use thousands of times.
const LONGEST_TEXT: usize = 4_000;

/// Things that the ranges of every file may make, however short it is.
const SOME_MADE: usize = 20;

/// Tags of the core schema (YAML 1.2.2, 10.3). What any other tag means is not known here, and the
/// reading of the file has said so.
const CORE_TAGS: [&str; 7] = [
    "!!str", "!!int", "!!float", "!!bool", "!!null", "!!seq", "!!map",
];

/// Reads one tree, gathering faults.
pub struct Reader<'t> {
    /// The tree that is read.
    pub tree: &'t Tree,
    faults: Vec<Noted>,
    /// Keys and list items that lead to what is being read.
    path: Vec<NodeId>,
    /// Faults by place, so that a place read again through an alias is told once.
    noted: FxHashMap<(Span, Discriminant<Fault>), usize>,
    zero_is_nonsense: bool,
    /// Keys that things must have and that do not stand in what was read of their broken text.
    lacking: FxHashMap<NodeId, Vec<&'static str>>,
    /// Keys that things lack which only the site as a whole can tell must be there, with the places of the things.
    told_later: Vec<(Span, &'static str)>,
    /// Whether something was too long to be read.
    is_cut: bool,
    /// Mappings of which only the first things are read.
    overfull: FxHashSet<NodeId>,
    /// Aliases repeat nodes, and must not multiply the work.
    visits_left: usize,
    /// Things that ranges may still make of themselves.
    makes_left: usize,
    /// Words of tables that the nearest one is still looked for of.
    pub searches_left: u32,
    budget: Budget,
}

impl<'t> Reader<'t> {
    /// A reader over `tree`, with so many visits to each part of it as the budget allows.
    pub fn new(tree: &'t Tree, budget: &Budget) -> Self {
        let visits = budget.count(Work::Visits);
        Self {
            tree,
            faults: Vec::new(),
            path: Vec::new(),
            noted: FxHashMap::default(),
            zero_is_nonsense: false,
            lacking: FxHashMap::default(),
            told_later: Vec::new(),
            searches_left: 2_000,
            is_cut: false,
            overfull: FxHashSet::default(),
            makes_left: tree.len().saturating_mul(visits).saturating_add(SOME_MADE),
            visits_left: tree.len().saturating_mul(visits).saturating_add(10_000),
            budget: *budget,
        }
    }

    /// The keys that `thing` must have and that do not stand in what was read of its broken text.
    pub fn lacking(&self, thing: NodeId) -> impl Iterator<Item = &'static str> {
        self.lacking.get(&thing).into_iter().flatten().copied()
    }

    /// Keys that things lack of which the site as a whole tells whether they must be there.
    pub fn told_later(&mut self) -> Vec<(Span, &'static str)> {
        take(&mut self.told_later)
    }

    /// What was wrong, and whether all of the tree was read.
    pub fn finish(self) -> (Vec<Noted>, bool) {
        let is_whole = self.is_whole();
        (self.faults, is_whole)
    }

    /// Whether all that was to be read of the tree was read.
    pub fn is_whole(&self) -> bool {
        self.visits_left > 0 && !self.is_cut
    }

    /// Forgets what was wrong, as one does that only wants to know whether something can be read.
    pub fn forget(&mut self) {
        self.faults.clear();
        self.noted.clear();
    }

    /// Notes a fault under the keys that lead to it.
    pub fn push(&mut self, fault: Fault) {
        let span = fault.span();
        // An anchor always stands above the alias that brings it here.
        let keys = self.path.iter().rev().map(|&key| self.tree.span(key));
        let used_at = keys.into_iter().find(|key| key.lo > span.lo);
        let place = (span, discriminant(&fault));
        if let (Some(used_at), Some(&known)) = (used_at, self.noted.get(&place)) {
            return self.faults[known].add_use(used_at);
        }
        let texts = self.path.iter().map(|&key| self.tree.text(key));
        let path = texts.filter(|text| !text.is_empty()).map(Name::from);
        let mut noted = Noted::new(fault, path);
        used_at.into_iter().for_each(|at| noted.add_use(at));
        self.noted.insert(place, self.faults.len());
        self.faults.push(noted);
    }

    /// Reads what stands under a key or in an item of a list.
    pub fn under<T>(&mut self, key: NodeId, read: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(key);
        let value = read(self);
        self.path.pop();
        value
    }

    /// Follows an alias and counts the visit; `None` where there is nothing to read.
    pub fn enter(&mut self, node: NodeId) -> Option<NodeId> {
        if self.visits_left == 1 {
            self.push(Fault::Unreadable {
                span: self.tree.span(node),
                message:
                    "Anchors and aliases repeat too much of this file; the rest of it is not judged."
                        .into(),
                advice: format!(
                    "Write the repeated parts out, or anchor smaller ones. {}",
                    Work::Visits.advice(&self.budget)
                ),
                related: None,
            });
        }
        self.visits_left = self.visits_left.saturating_sub(1);
        if self.visits_left == 0 {
            None
        } else {
            self.tree.resolve(node)
        }
    }

    /// Whether a range at `span` may still make so many things; if not, that is a fault.
    pub fn may_make(&mut self, span: Span, count: usize) -> bool {
        let left = self.makes_left.checked_sub(count);
        self.makes_left = left.unwrap_or(0);
        if left.is_none() {
            self.is_cut = true;
            self.push(Fault::Unreadable {
                span,
                message: "The ranges of this file make far more things than are written in it; this one is not read.".into(),
                advice: format!(
                    "Give a strip no more outlets than it has. {}",
                    Work::Visits.advice(&self.budget)
                ),
                related: None,
            });
        }
        left.is_some()
    }

    /// Says that from `span` on there are more things in a mapping than are read; once for each mapping.
    pub fn too_many(&mut self, mapping: NodeId, span: Span, what: &str) {
        self.is_cut = true;
        if self.overfull.insert(mapping) {
            self.push(Fault::Unreadable {
                span,
                message: format!(
                    "This {what} and those after it are not read: there are far more here than one thing has."
                ),
                advice: "Write down those that there are.".into(),
                related: None,
            });
        }
    }

    /// How a node is written; `~` and `null` without quotes are nothing at all.
    pub fn kind(&self, node: NodeId) -> Kind {
        match self.tree.kind(node) {
            Kind::Plain if self.tree.is_null(node) => Kind::Empty,
            kind => kind,
        }
    }

    /// The text of a scalar; a fault if the node is none. A scalar whose tag means nothing here
    /// stays unread: the reading of the file has said so.
    pub fn scalar(&mut self, node: NodeId, wanted: &str) -> Option<&'t str> {
        let tree = self.tree;
        match self.kind(node) {
            Kind::Plain | Kind::Quoted | Kind::Block => {
                let known = tree.tag(node).is_none_or(|tag| CORE_TAGS.contains(&tag));
                let text = Some(tree.text(node)).filter(|_| known)?;
                if text.len() > LONGEST_TEXT {
                    self.too_long(node, text.len());
                    return None;
                }
                Some(text)
            }
            _ => {
                self.wanted(node, wanted);
                None
            }
        }
    }

    fn too_long(&mut self, node: NodeId, bytes: usize) {
        self.is_cut = true;
        self.push(Fault::Unreadable {
            span: self.tree.span(node),
            message: format!(
                "This text has {bytes} bytes; texts of more than {LONGEST_TEXT} bytes are not read."
            ),
            advice: "Write a shorter one.".into(),
            related: None,
        });
    }

    /// Says that something else was wanted here; not where an error ended the value, for then it is
    /// not known what was meant.
    pub fn wanted(&mut self, node: NodeId, wanted: &str) {
        if self.tree.is_cut_short(node) {
            return;
        }
        let found = self.found(node);
        let span = self.tree.span(node);
        self.bad(
            span,
            format!("{found} where {wanted} is wanted"),
            format!("Write {wanted}."),
        );
    }

    fn found(&self, node: NodeId) -> &'static str {
        match self.kind(node) {
            Kind::Empty => "nothing stands here",
            Kind::List => "a list stands here",
            Kind::Mapping => "keys with values stand here",
            _ => "a single value stands here",
        }
    }

    /// Says that a value is not what its key wants.
    pub fn bad(&mut self, span: Span, headline: String, advice: String) {
        self.push(Fault::BadValue {
            span,
            headline,
            advice,
            edit: None,
        });
    }

    /// Says that zero makes no sense in the next quantity that is read.
    pub fn zero_is_nonsense(&mut self) {
        self.zero_is_nonsense = true;
    }

    /// Whether zero makes no sense in the quantity that is being read; forgotten once asked.
    pub fn must_be_above_zero(&mut self) -> bool {
        take(&mut self.zero_is_nonsense)
    }

    /// The keys that lead to what is being read, from the section on.
    pub(crate) fn key_words(&self) -> impl Iterator<Item = &'t str> + Clone + '_ {
        let texts = self.path.iter().map(|&key| self.tree.text(key));
        texts.filter(|text| !text.is_empty())
    }

    /// Whether a section of the file is read, and not one inside a thing.
    pub fn is_at_top(&self) -> bool {
        self.path.len() <= 1
    }

    /// Reads a mapping of names to things, calling `each` for every entry.
    pub fn entries(
        &mut self,
        node: NodeId,
        what: &str,
        mut each: impl FnMut(&mut Self, Spanned<Name>, NodeId),
    ) {
        let tree = self.tree;
        match self.kind(node) {
            Kind::Mapping => {}
            Kind::Empty => return,
            _ if tree.is_cut_short(node) => return,
            _ => {
                return self.bad(
                    tree.span(node),
                    format!(
                        "{} where a name and then the {what} are wanted",
                        self.found(node)
                    ),
                    format!("Write a name, a colon, and below it the keys of the {what}."),
                );
            }
        }
        for (key, value) in tree.pairs(node) {
            let Some(text) = self.key_text(key) else {
                continue;
            };
            if self.is_unfinished(node, value) {
                continue;
            }
            let name = Spanned {
                value: text.into(),
                span: tree.span(key),
            };
            if text.is_empty() {
                self.bad(
                    name.span,
                    "a name is empty here".into(),
                    format!("Give the {what} a name."),
                );
            } else if let Some(value) = self.enter(value) {
                self.under(key, |reader| {
                    crate::model::text::look_for_trap(reader, key);
                    each(reader, name, value);
                });
            }
        }
    }
}

/// `a circuit`, `an outlet`.
pub fn with_article(what: &str) -> String {
    let article = if what.starts_with(['a', 'e', 'i', 'o']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {what}")
}
