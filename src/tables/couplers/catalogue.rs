//! All couplers in one order, and the ways to look them up.

use std::sync::OnceLock;

use rustc_hash::FxHashMap;

use crate::spelling::{Glance, plain_slips};

use super::marking::{self, Marking};
use super::variant::{self, Variant};
use super::{Coupler, Earth, Family, Side, dual, locking, national, nema};
use super::{pin_and_sleeve, sheets, sleeve_names, spelling, standards};

/// The couplers of every table.
pub(super) struct Catalogue {
    /// Sorted by name.
    pub(super) couplers: Vec<Coupler>,
    /// Canonical names as they are written: one hash and no allocation for nearly every lookup.
    by_name: FxHashMap<String, u16>,
    /// Every known spelling, normalised.
    by_spelling: FxHashMap<String, u16>,
    /// Every known spelling, folded.
    by_folded: FxHashMap<String, u16>,
    /// Couplers by their names without a marking, folded.
    by_base: FxHashMap<String, Vec<u16>>,
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
        let mut by_folded = FxHashMap::default();
        let mut by_base: FxHashMap<String, Vec<u16>> = FxHashMap::default();
        let put = |places: &mut FxHashMap<String, u16>, text: String, index| {
            if let Some(other) = places.insert(text.clone(), index) {
                assert!(other == index, "two couplers are called {text}");
            }
        };
        for (index, coupler) in (0..).zip(&mut couplers) {
            coupler.index = index;
            by_name.insert(coupler.name.clone(), index);
            for text in coupler.aliases.iter().chain([&coupler.name]) {
                put(&mut by_spelling, spelling::normal(text), index);
                let folded = spelling::folded(text);
                put(&mut by_folded, spelling::folded_with_dash(&folded), index);
                put(&mut by_folded, folded, index);
            }
            for base in marking::bases(coupler) {
                let places = by_base.entry(base).or_default();
                if places.last() != Some(&index) {
                    places.push(index);
                }
            }
        }
        Self {
            couplers,
            by_name,
            by_spelling,
            by_folded,
            by_base,
            normal: OnceLock::new(),
        }
    }

    pub(super) fn find(&self, text: &str) -> Option<&Coupler> {
        match self.by_name.get(text) {
            Some(index) => self.at(*index),
            None => self.find_other_spelling(text),
        }
    }

    fn at(&self, index: u16) -> Option<&Coupler> {
        self.couplers.get(usize::from(index))
    }

    fn find_other_spelling(&self, text: &str) -> Option<&Coupler> {
        let known = self.by_spelling.get(&spelling::normal(text));
        if let Some(index) = known {
            return self.at(*index);
        }
        let folded = spelling::folded(text);
        self.find_folded(&folded)
            .or_else(|| Some(self.variant(&folded)?.0))
            .or_else(|| match self.sleeves(text).as_slice() {
                [only] => Some(*only),
                _ => None,
            })
            .or_else(|| match self.marked(text).as_slice() {
                [only] => Some(*only),
                _ => None,
            })
    }

    /// All national couplers that a name with a marking behind it may mean.
    pub(super) fn marked(&self, text: &str) -> Vec<&Coupler> {
        let marking = Marking::of(text);
        let of_base = self.by_base.get(&marking.base);
        let Some(of_base) = of_base.filter(|_| !marking.base.is_empty()) else {
            return Vec::new();
        };
        let of_base = of_base.iter().filter_map(|index| self.at(*index));
        marking.meant(of_base, self.find_folded(&marking.base))
    }

    /// Two numbers alone (`5 15`) are no name of anything unless they stand in a table as they are.
    fn find_folded(&self, folded: &str) -> Option<&Coupler> {
        let bare = without_finish(folded).unwrap_or(folded);
        let has_letters = bare.contains(|letter: char| letter.is_ascii_uppercase());
        let index = self.by_folded.get(bare).filter(|_| has_letters)?;
        self.at(*index)
    }

    /// The configuration behind a variant of it, and the marks.
    pub(super) fn variant(&self, folded: &str) -> Option<(&Coupler, Vec<&'static Variant>)> {
        let (plain, variants) = variant::parted(folded)?;
        let coupler = self.find_folded(&plain)?;
        let has_earth = coupler.earth == Earth::Contact;
        let may_be = |variant: &&Variant| has_earth || !variant.needs_earth;
        let is_nema = coupler.family == Family::Nema;
        (is_nema && variants.iter().all(may_be)).then_some((coupler, variants))
    }

    /// All pin-and-sleeve couplers that a text may mean.
    pub(super) fn sleeves(&self, text: &str) -> Vec<&Coupler> {
        let Some(written) = sleeve_names::written(text) else {
            return Vec::new();
        };
        let named = |name: &str| self.by_name.get(name).and_then(|index| self.at(*index));
        let agrees = |coupler: &Coupler| {
            let voltage = coupler.voltage.as_ref();
            voltage.map(|voltage| written.agrees(&voltage.value))
        };
        let may_be = |coupler: &&Coupler| {
            if !written.wants_position() {
                return agrees(coupler).unwrap_or(true);
            }
            let mut positions = (1..=12).filter_map(|hour| named(&format!("{coupler} {hour}h")));
            positions.any(|position| agrees(position) == Some(true))
        };
        let found = written.names().filter_map(|name| named(&name));
        found.filter(may_be).collect()
    }

    /// The half that a spelling names besides the face.
    pub(super) fn side_written(&self, text: &str, coupler: &Coupler) -> Option<Side> {
        if coupler.family == Family::Iec60309 {
            return sleeve_names::written(text)?.side;
        }
        let folded = spelling::folded(text);
        let plain = variant::parted(&folded).map(|(plain, _)| plain);
        let plain = plain.unwrap_or(folded);
        let (name, side) = nema::parted(&plain)?;
        // The letter must be no part of the name.
        self.find_folded(name)
            .filter(|bare| bare.index == coupler.index)?;
        (coupler.family == Family::Nema).then_some(side)
    }

    /// A name that differs in letters only, and by itself: another number is another rating or another standard,
    /// and of several that are equally near none is meant. One letter in three may be wrong, and always one.
    pub(super) fn nearest(&self, text: &str) -> Option<&str> {
        let normal = spelling::normal(text);
        let glance = Glance::of(&normal);
        let length = glance.len();
        if length >= LONGEST {
            return None;
        }
        let names = self.normal.get_or_init(|| {
            let names = self.couplers.iter();
            let names = names.map(|coupler| spelling::normal(&coupler.name));
            let letters = |name: String| (name.chars().collect(), Glance::of(&name));
            names.map(letters).collect()
        });
        let letters: Vec<char> = normal.chars().collect();
        let standard = standards::of(text);
        let mut within = (length / 3).max(1).min(length.saturating_sub(1));
        let mut best: Vec<&Coupler> = Vec::new();
        for (coupler, (name, other)) in self.couplers.iter().zip(names) {
            if glance.least_slips_to(other) > within {
                continue;
            }
            let Some(distance) = plain_slips(&letters, name, within) else {
                continue;
            };
            let is_same = spelling::figures(&coupler.name).eq(spelling::figures(&normal));
            if !is_same || standard.is_some_and(|standard| !standard.has(coupler)) {
                continue;
            }
            if distance < within {
                best.clear();
                within = distance;
            }
            best.push(coupler);
        }
        only_one(best, text)
    }
}

/// The name that is meant: there is one, or one has more words in common with the text than the others.
fn only_one<'c>(mut near: Vec<&'c Coupler>, text: &str) -> Option<&'c str> {
    let words: Vec<String> = text.split_whitespace().map(spelling::normal).collect();
    let in_common = |coupler: &Coupler| {
        let all = coupler.name.split(' ');
        all.filter(|word| words.iter().any(|other| other == word))
            .count()
    };
    let most = near.iter().map(|coupler| in_common(coupler)).max()?;
    near.retain(|coupler| in_common(coupler) == most);
    match near.as_slice() {
        [only] => Some(&only.name),
        _ => None,
    }
}

/// A part of the 50 A locking family without `California` before it and up to two letters of colour and finish
/// behind it.
fn without_finish(folded: &str) -> Option<&str> {
    let part = folded.strip_prefix("CALIFORNIA").unwrap_or(folded);
    let number = part.strip_prefix("CS")?;
    let digits = number.trim_end_matches(|letter: char| letter.is_ascii_uppercase());
    let finish = number.len() - digits.len();
    let is_part = digits.len() == 4 && digits.bytes().all(|byte| byte.is_ascii_digit());
    (is_part && finish <= 2).then(|| &part[..part.len() - finish])
}
