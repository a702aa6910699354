//! What is told once, however many suffer it: the first to meet it has it told, and everybody who
//! meets it is gathered.

use std::hash::Hash;

use rustc_hash::FxHashMap;

use crate::finding::Finding;
use crate::model::value::Name;

use super::Draft;

/// Findings by what makes each of them one, such as the place of a fact that is missing.
#[derive(Debug)]
pub struct ToldOnce<K> {
    known: FxHashMap<K, usize>,
    told: Vec<Told>,
}

/// A finding, and who was found to suffer it.
#[derive(Debug)]
pub struct Told {
    draft: Draft,
    sufferers: Vec<Name>,
}

impl<K> Default for ToldOnce<K> {
    fn default() -> Self {
        Self {
            known: FxHashMap::default(),
            told: Vec::new(),
        }
    }
}

impl<K: Eq + Hash> ToldOnce<K> {
    /// Tells of something, unless that was done already.
    pub fn tell(&mut self, what: K, draft: impl FnOnce() -> Draft) -> &mut Told {
        let at = *self.known.entry(what).or_insert_with(|| {
            self.told.push(Told {
                draft: draft().brief(),
                sufferers: Vec::new(),
            });
            self.told.len() - 1
        });
        &mut self.told[at]
    }

    /// How many were told.
    pub fn count(&self) -> usize {
        self.told.len()
    }

    /// The findings, in the order in which they were told.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        let told = self.told.into_iter();
        told.map(|told| told.draft.suffered_by(told.sufferers).finish())
    }
}

impl Told {
    /// Adds who suffers it; nobody where what is at fault is itself what suffers.
    pub fn suffered_by(&mut self, names: impl IntoIterator<Item = Name>) {
        self.sufferers.extend(names);
    }

    /// Other advice, now that more is known of what it must serve.
    pub fn advise(&mut self, advice: String) {
        self.draft.advise(advice);
    }
}
