//! The spellings of all couplers as one pattern.

use super::{Family, Key, PoleCount, all, marking, sleeve_names, variant};
use crate::tables::spellings::{self, any_case};

/// A regular expression that every spelling of every coupler matches, as far as the trade writes it.
///
/// Pin-and-sleeve couplers are described by their parts, in any order; NEMA ones by their sizes, with the marks
/// of variants; all others name by name. It lets through some that may mean several couplers: those the reading
/// tells.
pub fn pattern() -> String {
    let others = all().filter(|coupler| coupler.family != Family::Iec60309);
    let names = others.flat_map(|coupler| coupler.aliases.iter().chain([&coupler.name]));
    let names = names.map(|name| joined_name(name));
    let more = [
        parts(),
        code(),
        of_nema(),
        locking_with_finish(),
        with_marking(),
    ];
    spellings::any_of(names.chain(more).chain(blue()))
}

/// The names of all couplers, sorted.
pub fn names() -> Vec<&'static str> {
    all().map(|coupler| coupler.name.as_str()).collect()
}

/// What may stand between the parts of a name.
const JOINT: &str = r"[\s_‐-―−-]*";

/// A name with blanks, dashes and underscores where it has one of them, or where letters meet figures.
fn joined_name(name: &str) -> String {
    let name = name.replace(['-', '_'], " ");
    let name = spellings::spaced_name(&name).replace(r"\s*", JOINT);
    // A slash between numbers may be any of them.
    let slash = format!("{JOINT}/{JOINT}");
    name.replace(&slash, r"(?:\s*[/_‐-―−-]\s*|\s+)")
}

fn words<'w>(words: impl Iterator<Item = &'w str>) -> String {
    let words: Vec<String> = words.map(joined_name).collect();
    format!("(?:{})", words.join("|"))
}

/// Every size of every series, with the half and the marks of variants before and behind it.
fn of_nema() -> String {
    let is_size = |key: &Key| matches!(key, Key::Nema { series } if !series.contains(' '));
    let sizes = all().filter(|coupler| is_size(&coupler.key));
    let sizes = sizes.filter_map(|coupler| coupler.name.strip_prefix("NEMA "));
    let (sizes, marks) = (words(sizes), words(variant::written()));
    let nema = words(["NEMA", "CSA"].into_iter());
    format!(
        "(?:{marks}{JOINT})*(?:{nema}{JOINT})?(?:{marks}{JOINT})*{sizes}{JOINT}[PpRr]?(?:{JOINT}{marks})*"
    )
}

/// National names with the year of an edition and with what the part is marked with behind them.
fn with_marking() -> String {
    let mut bases: Vec<String> = all().flat_map(marking::written_bases).collect();
    bases.sort();
    bases.dedup();
    let bases = words(bases.iter().map(String::as_str));
    let (year, joint) = (r"[:‐-―−-](?:19|20)[0-9]{2}", r"[\s,;/_-]*");
    let amperes = r"[0-9]+(?:\.[0-9]+)?\s*[Aa]";
    let volts = r"[0-9]+(?:\.[0-9]+)?\s*[Vv]\s*~?";
    let poles = r"[23]\s*[Pp](?:\+[Nn])?(?:\+(?:[Pp]?[Ee]|[Tt]))?";
    format!("{bases}(?:{year})?(?:{joint}(?:{amperes}|{volts}|{poles})){{0,3}}")
}

/// Parts of the 50 A locking family, with letters of colour and finish.
fn locking_with_finish() -> String {
    let aliases = all().flat_map(|coupler| coupler.aliases.iter());
    let parts = aliases.filter(|alias| alias.starts_with("CS"));
    let (parts, place) = (words(parts.map(String::as_str)), joined_name("California"));
    format!("(?:{place}{JOINT})?{parts}[A-Za-z]{{0,2}}")
}

/// The standards that may stand before the parts.
const STANDARDS: &str = r"(?:(?:[Ii][Ee][Cc]|(?:(?:[Bb][Ss]|[Dd][Ii][Nn]|[Nn][Ee][Nn]|[Nn][Ff]|[Ss][Ss]|[Uu][Nn][Ee])[\s_-]*)?[Ee][Nn])[\s_-]*(?:60)?309(?:-[12])?|60309(?:-[12])?|[Cc][Ee][Ee](?:[\s_-]*17)?)";
/// What may stand between parts.
const BETWEEN: &str = r"[\s_,;-]*";

fn amperes() -> String {
    let sizes: Vec<String> = sizes().iter().map(u16::to_string).collect();
    format!(r"(?:{})\s*[Aa]", sizes.join("|"))
}

fn parts() -> String {
    let poles = PoleCount::ALL.map(|poles| spellings::spaced_name(&poles.to_string()));
    // Some write PE for E, and L for a line.
    let poles = poles
        .join("|")
        .replace("[Ee]", "[Pp]?[Ee]")
        .replace("[Pp]\\+", "[PpLl]\\+");
    let counts = r"5(?:[\s-]*[Pp][Oo][Ll](?:[Ii][Gg]|[Ee])?|[Pp])|4\s*[Pp]\+[Pp]?[Ee]|[345](?:[\s-]*[Pp][Ii][Nn][Ss]?|\s*[Ww])|[2-4]\s*[Pp]\s*[3-5]\s*[Ww]";
    let poles = format!(r"(?:{poles}|1\s*[Pp]\+[Nn]\+[Pp]?[Ee]|[Ll]\+[Nn]\+[Pp]?[Ee]|{counts})");
    let part = format!(
        r"(?:{}|{poles}|(?:1[0-2]|[1-9])\s*[Hh]|[1-9][0-9]{{1,2}}(?:/[1-9][0-9]{{1,2}})?\s*[Vv]|{})",
        amperes(),
        words(sleeve_names::colours())
    );
    format!("{STANDARDS}(?:{BETWEEN}{part}){{2,5}}")
}

/// `CEE 16A 3p blue`, in any order.
fn blue() -> [String; 3] {
    let blue: String = "blue".chars().map(any_case).collect();
    let (amperes, poles) = (amperes(), r"3(?:[\s-]*[Pp][Oo][Ll](?:[Ii][Gg]|[Ee])?|[Pp])");
    let name = |parts: [&str; 3]| {
        let parts: Vec<String> = parts
            .iter()
            .map(|part| format!("{BETWEEN}{part}"))
            .collect();
        format!(r"[Cc][Ee][Ee](?:[\s_-]*17)?{}", parts.concat())
    };
    [
        name([&amperes, poles, &blue]),
        name([&amperes, &blue, poles]),
        name([&blue, &amperes, poles]),
    ]
}

/// `332P6W`, alone or behind the standard.
fn code() -> String {
    let sizes: Vec<String> = sizes().iter().map(u16::to_string).collect();
    let sizes = sizes.join("|");
    format!(r"(?:{STANDARDS}{BETWEEN})?[345]\s*(?:{sizes})\s*[PpRrCcBb]\s*(?:1[0-2]|[1-9])\s*[Ww]?")
}

fn sizes() -> Vec<u16> {
    let keys = all().filter_map(super::Coupler::pin_and_sleeve);
    let mut sizes: Vec<u16> = keys.map(|key| key.amperes).collect();
    sizes.sort_unstable();
    sizes.dedup();
    sizes
}
