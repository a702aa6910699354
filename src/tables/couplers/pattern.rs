//! The spellings of all couplers as one pattern.

use super::{Family, PoleCount, all};
use crate::tables::spellings;

/// A regular expression that every spelling of every coupler matches, as far as the trade writes it.
///
/// Pin-and-sleeve couplers are described by their parts, in any order; all others name by name.
pub fn pattern() -> String {
    let others = all().filter(|coupler| coupler.family != Family::Iec60309);
    let names = others.flat_map(|coupler| coupler.aliases.iter().chain([&coupler.name]));
    let names = names.map(|name| spellings::spaced_name(name));
    spellings::any_of(names.chain([pin_and_sleeve()]))
}

/// The names of all couplers, sorted.
pub fn names() -> Vec<&'static str> {
    all().map(|coupler| coupler.name.as_str()).collect()
}

fn pin_and_sleeve() -> String {
    let amperes: Vec<String> = sizes().iter().map(u16::to_string).collect();
    let poles = PoleCount::ALL.map(|poles| spellings::spaced_name(&poles.to_string()));
    let poles = format!(r"(?:{}|1\s*[Pp]\+[Nn]\+[Ee])", poles.join("|"));
    // Some write PE for E.
    let poles = poles.replace("[Ee]", "[Pp]?[Ee]");
    let parts = format!(
        r"(?:\s*(?:(?:{})\s*[Aa]|{poles}|(?:1[0-2]|[1-9])\s*[Hh]))",
        amperes.join("|")
    );
    format!(r"(?:[Ii][Ee][Cc]|[Ee][Nn])\s*60309(?:-2)?{parts}{{2,3}}")
}

fn sizes() -> Vec<u16> {
    let keys = all().filter_map(super::Coupler::pin_and_sleeve);
    let mut sizes: Vec<u16> = keys.map(|key| key.amperes).collect();
    sizes.sort_unstable();
    sizes.dedup();
    sizes
}
