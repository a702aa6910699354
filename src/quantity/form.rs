//! How quantities are written, as patterns: for the description of the format that editors read.
//!
//! A pattern says what a quantity looks like; whether the value can be meant is asked on reading.
//! Patterns keep to what ECMA 262, which JSON Schema names, has in common with other dialects.

use super::dimension::Dimension;

/// The spelling of a quantity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Form {
    /// What it is and in which units it is written, as a sentence.
    pub words: String,
    /// A regular expression that the whole text of every quantity that is read matches.
    pub pattern: String,
    /// Good spellings.
    pub examples: Vec<&'static str>,
}

/// A number without a sign, and its power of ten.
pub(super) const NUMBER: &str = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?";

/// Stands at the start of a pattern whose number is not zero; gauge 0 is a size like any other.
const NOT_ZERO: &str = r"(?!\s*\+?[0.]*0[0.]*(?![0-9./]|\s*AWG))";

impl Form {
    /// The form of numbers with the units of some dimensions.
    pub(super) fn of(
        what: &str,
        dimensions: &[Dimension],
        examples: impl IntoIterator<Item = &'static str>,
    ) -> Self {
        let sign = match dimensions {
            [Dimension::Temperature] => "[-−–+]?",
            _ => r"\+?",
        };
        let form = Self {
            words: format!("{} in {}.", capital(what), list(dimensions)),
            pattern: whole(&format!("{sign}{}", with_unit(dimensions))),
            examples: examples.into_iter().collect(),
        };
        let refuses_zero =
            |dimension: &Dimension| dimension.describe().plausible.zero_refused.is_some();
        if dimensions.iter().all(refuses_zero) {
            form.above_zero()
        } else {
            form
        }
    }

    /// The form where zero makes no sense.
    #[must_use]
    pub fn above_zero(mut self) -> Self {
        self.pattern = above_zero(&self.pattern);
        self
    }
}

/// The pattern of the same quantity where zero makes no sense.
pub fn above_zero(pattern: &str) -> String {
    match pattern.strip_prefix('^') {
        Some(rest) if !rest.starts_with(NOT_ZERO) => format!("^{NOT_ZERO}{rest}"),
        _ => pattern.to_owned(),
    }
}

/// A pattern of the whole of a text, blanks around it aside.
pub(super) fn whole(pattern: &str) -> String {
    format!(r"^\s*{pattern}\s*$")
}

/// A number and one of the units of some dimensions.
pub(super) fn with_unit(dimensions: &[Dimension]) -> String {
    format!(r"{NUMBER}\s*{}", units(dimensions))
}

/// Any unit of some dimensions, in every spelling that is read.
pub(super) fn units(dimensions: &[Dimension]) -> String {
    let units = dimensions.iter().flat_map(|one| one.describe().units);
    let spellings: Vec<String> = units
        .flat_map(|unit| unit.spellings())
        .map(escaped)
        .collect();
    format!("(?:{})", spellings.join("|"))
}

fn escaped(spelling: &str) -> String {
    spelling.replace('^', r"\^")
}

/// `A, mA or kA`
fn list(dimensions: &[Dimension]) -> String {
    let units = dimensions.iter().flat_map(|one| one.describe().units);
    let signs: Vec<String> = units.map(|unit| unit.sign.to_owned()).collect();
    crate::spelling::either(&signs)
}

/// With a capital at the front.
pub(super) fn capital(sentence: &str) -> String {
    let mut characters = sentence.chars();
    characters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(characters).collect()
    })
}
