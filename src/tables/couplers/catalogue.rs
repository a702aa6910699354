//! All couplers in one order, and the ways to look them up.

use std::sync::OnceLock;

use rustc_hash::FxHashMap;

use crate::spelling::{Glance, plain_slips};

use super::{Coupler, dual, locking, national, nema, pin_and_sleeve, sheets, spelling};

/// The couplers of every table.
pub(super) struct Catalogue {
    /// Sorted by name.
    pub(super) couplers: Vec<Coupler>,
    /// Canonical names as they are written: one hash and no allocation for nearly every lookup.
    by_name: FxHashMap<String, u16>,
    /// Every known spelling, normalised.
    by_spelling: FxHashMap<String, u16>,
    /// The names, normalised, once one is looked for that is near a misspelt one.
    normal: OnceLock<Vec<(Vec<char>, Glance)>>,
}

/// Characters of the longest text that a name can be near to.
const LONGEST: usize = 64;

impl Catalogue {
    /// Reads the embedded tables.
    ///
    /// # Panics
    /// If two couplers answer to one spelling: a fault of the build, met by the first test that runs.
    pub(super) fn embedded() -> Self {
        let mut couplers = sheets::couplers();
        couplers.extend(dual::couplers(&couplers));
        couplers.extend(nema::couplers());
        couplers.extend(locking::couplers());
        couplers.extend(pin_and_sleeve::couplers());
        couplers.extend(national::couplers());
        couplers.sort_by(|a, b| a.name.cmp(&b.name));
        let mut by_name = FxHashMap::default();
        let mut by_spelling = FxHashMap::default();
        for (index, coupler) in (0..).zip(&mut couplers) {
            coupler.index = index;
            by_name.insert(coupler.name.clone(), index);
            for text in coupler.aliases.iter().chain([&coupler.name]) {
                let other = by_spelling.insert(spelling::normal(text), index);
                assert!(
                    other.is_none_or(|other| other == index),
                    "two couplers are called {text}"
                );
            }
        }
        Self {
            couplers,
            by_name,
            by_spelling,
            normal: OnceLock::new(),
        }
    }

    pub(super) fn find(&self, text: &str) -> Option<&Coupler> {
        let index = match self.by_name.get(text) {
            Some(index) => Some(*index),
            None => self.find_other_spelling(text),
        };
        self.couplers.get(usize::from(index?))
    }

    fn find_other_spelling(&self, text: &str) -> Option<u16> {
        let normal = spelling::normal(text);
        let known = self.by_spelling.get(&normal).copied();
        known.or_else(|| {
            let name = pin_and_sleeve::canonical(&normal)?;
            self.by_name.get(&name).copied()
        })
    }

    /// One letter in three may be wrong, and always one. Of equally near names one as long as the text comes
    /// first, then one that is still in force, then the first by name.
    pub(super) fn nearest(&self, text: &str) -> Option<&str> {
        let normal = spelling::normal(text);
        let glance = Glance::of(&normal);
        let length = glance.len();
        if length > LONGEST {
            return None;
        }
        let within = (length / 3).max(1);
        let names = self.normal.get_or_init(|| {
            let names = self.couplers.iter();
            let names = names.map(|coupler| spelling::normal(&coupler.name));
            let letters = |name: String| (name.chars().collect(), Glance::of(&name));
            names.map(letters).collect()
        });
        let letters: Vec<char> = normal.chars().collect();
        let mut best = None;
        let mut within = within.min(length.saturating_sub(1));
        for (coupler, (name, other)) in self.couplers.iter().zip(names) {
            if glance.least_slips_to(other) > within {
                continue;
            }
            if let Some(distance) = plain_slips(&letters, name, within) {
                within = distance;
                let lengths = other.len().abs_diff(length);
                let found = (distance, lengths, coupler.withdrawn, coupler.name.as_str());
                best = Some(best.map_or(found, |best| found.min(best)));
            }
        }
        best.map(|(.., name)| name)
    }
}
