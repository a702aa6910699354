//! Names that mean no coupler for sure, and what may be meant by them.

use std::sync::LazyLock;

use super::{CATALOGUE, spelling};
use crate::tables::offered::{self, Offered};

static OFFERED: LazyLock<Vec<Offered>> = LazyLock::new(|| {
    let text = include_str!("../data/couplers-offered.yaml");
    let mut rows = offered::embedded("couplers-offered", text);
    for written in rows.iter_mut().flat_map(|row| &mut row.written) {
        *written = spelling::folded(written);
    }
    rows
});

/// What is known of a name that no coupler goes by, and the couplers that may be meant.
pub(crate) fn offered(text: &str) -> Option<(&'static Offered, Vec<&'static str>)> {
    let folded = spelling::folded(text);
    let behind = |row: &'static Offered| {
        let starts = row.written.iter();
        let rest = |start: &String| {
            // Behind a number may stand amperes; behind a letter stands nothing.
            let is_number = start.ends_with(|letter: char| letter.is_ascii_digit());
            let rest = spelling::behind(&folded, start)?;
            (is_number || rest.is_empty()).then_some(rest)
        };
        let rests = starts.filter_map(rest);
        rests.min_by_key(|rest| rest.len()).map(|rest| (row, rest))
    };
    let rows = OFFERED.iter().filter_map(behind);
    let (row, rest) = rows.min_by_key(|(_, rest)| rest.len())?;
    let mut names: Vec<&str> = row
        .means
        .iter()
        .flat_map(|name| named(name, rest))
        .collect();
    names.dedup();
    Some((row, names))
}

fn named(name: &str, rest: &str) -> Vec<&'static str> {
    let whole = format!("{name} {}", rest.trim_start_matches('-'));
    let found = CATALOGUE.find(&whole).or_else(|| CATALOGUE.find(name));
    let found = match found {
        Some(coupler) => vec![coupler],
        None => CATALOGUE.sleeves(&whole),
    };
    found.iter().map(|coupler| coupler.name.as_str()).collect()
}
