//! The standards whose couplers the tables have, by the words that their names begin with.

use std::sync::LazyLock;

use super::pin_and_sleeve::PoleCount;
use super::{CATALOGUE, Coupler, Family, Key, all, spelling, variant};

/// Couplers of one standard, or of one part of it.
pub(super) struct Standard {
    /// What names of it begin with, folded.
    starts: Vec<String>,
    /// Places of its couplers in the catalogue, in rising order.
    couplers: Vec<u16>,
    /// Which names it has, a sentence.
    pub names: String,
}

impl Standard {
    pub fn has(&self, coupler: &Coupler) -> bool {
        self.couplers.binary_search(&coupler.index).is_ok()
    }
}

static STANDARDS: LazyLock<Vec<Standard>> = LazyLock::new(|| {
    let mut all = vec![sheets(), nema(), locking(), sleeves(), cee()];
    all.extend(nema_series());
    all.extend(national());
    all
});

/// The standard that a text begins with; of a standard and its part the part.
pub(super) fn of(text: &str) -> Option<&'static Standard> {
    let folded = spelling::folded(text);
    let plain = variant::parted(&folded).map(|(plain, _)| plain);
    let folded = plain.unwrap_or(folded);
    let length = |standard: &'static Standard| {
        let starts = standard.starts.iter();
        let fitting = starts.filter(|start| spelling::behind(&folded, start).is_some());
        Some((fitting.map(String::len).max()?, standard))
    };
    let found = STANDARDS.iter().filter_map(length);
    Some(found.max_by_key(|(length, _)| *length)?.1)
}

fn standard(
    starts: &[&str],
    is_its: impl Fn(&Coupler) -> bool,
    names: impl Fn(&[&str]) -> String,
) -> Standard {
    let its: Vec<&Coupler> = CATALOGUE
        .couplers
        .iter()
        .filter(|one| is_its(one))
        .collect();
    let couplers = its.iter().map(|coupler| coupler.index).collect();
    let mut list: Vec<&str> = its.iter().map(|coupler| coupler.name.as_str()).collect();
    list.sort_by_key(|name| in_order(name));
    Standard {
        starts: starts.iter().map(|start| (*start).to_owned()).collect(),
        couplers,
        names: names(&list),
    }
}

/// `BS 546 5 A` before `BS 546 15 A`.
fn in_order(name: &str) -> (Vec<u32>, &str) {
    let runs = name.split(|letter: char| !letter.is_ascii_digit());
    (runs.filter_map(|run| run.parse().ok()).collect(), name)
}

fn list(what: &str, names: &[&str]) -> String {
    format!("Of {what} the tables have {}.", names.join(", "))
}

fn sheets() -> Standard {
    let starts = ["C", "IECC", "IEC60320", "EN60320", "IEC320", "320", "SHEET"];
    let is_its = |coupler: &Coupler| coupler.family == Family::Iec60320;
    standard(&starts, is_its, |names| list("IEC 60320", names))
}

fn locking() -> Standard {
    let is_its = |coupler: &Coupler| coupler.name.starts_with("CS ");
    standard(&["CS", "CALIFORNIA"], is_its, |names| {
        list("the 50 A locking family", names)
    })
}

const SLEEVES: [&str; 6] = ["IEC60309", "EN60309", "60309", "IEC309", "EN309", "CEE17"];

fn sleeves() -> Standard {
    let is_its = |coupler: &Coupler| coupler.family == Family::Iec60309;
    standard(&SLEEVES, is_its, |_| how_sleeves_are_written())
}

/// `CEE` is what people in Europe call both.
fn cee() -> Standard {
    let is_plug = |name: &str| name.starts_with("CEE 7/");
    let is_its = |coupler: &Coupler| coupler.family == Family::Iec60309 || is_plug(&coupler.name);
    standard(&["CEE"], is_its, |names| {
        let plugs: Vec<&str> = names.iter().copied().filter(|name| is_plug(name)).collect();
        format!("{} {}", how_sleeves_are_written(), list("CEE 7", &plugs))
    })
}

fn how_sleeves_are_written() -> String {
    let keys = all().filter_map(Coupler::pin_and_sleeve);
    let mut sizes: Vec<u16> = keys.map(|key| key.amperes).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let sizes: Vec<String> = sizes.iter().map(u16::to_string).collect();
    let poles = PoleCount::ALL.map(|poles| poles.to_string());
    format!(
        "Of IEC 60309 write amperes ({}), poles ({}) and the hour of the earth (ground) contact, as in IEC 60309 32 A 3P+N+E 6h.",
        sizes.join(", "),
        poles.join(", ")
    )
}

fn series_of(coupler: &Coupler) -> Option<&str> {
    match &coupler.key {
        // Midgets have names and no series.
        Key::Nema { series } if !series.contains(' ') => Some(series),
        _ => None,
    }
}

fn all_series() -> Vec<&'static str> {
    let mut series: Vec<&str> = all().filter_map(series_of).collect();
    // The straight ones first.
    series.sort_by_key(|series| {
        let letters = series.trim_end_matches(|letter: char| letter.is_ascii_digit());
        (letters, in_order(series))
    });
    series.dedup();
    series
}

fn nema() -> Standard {
    let is_its = |coupler: &Coupler| coupler.name.starts_with("NEMA ");
    standard(&["NEMA", "CSA"], is_its, |_| {
        format!(
            "Of NEMA the tables have the series {}, and ML-1 to ML-3; written as in NEMA 5-15.",
            all_series().join(", ")
        )
    })
}

fn nema_series() -> impl Iterator<Item = Standard> {
    all_series().into_iter().map(|series| {
        let starts = ["NEMA", "CSA", ""].map(|body| format!("{body}{series}-"));
        let starts = starts.each_ref().map(String::as_str);
        let is_its = |coupler: &Coupler| series_of(coupler) == Some(series);
        standard(&starts, is_its, |names| {
            list(&format!("NEMA series {series}"), names)
        })
    })
}

/// What else the name of a national standard may begin with.
const OTHER_WORDS: [(&str, &str); 6] = [
    ("AS/NZS", "AS"),
    ("GB", "GB/T"),
    ("SN", "SEV"),
    ("SN", "T"),
    ("JISC", "JIS"),
    ("KSC", "KS"),
];

/// Every body with all that it has, and every standard of it.
fn national() -> Vec<Standard> {
    let national = all().filter(|coupler| coupler.family == Family::National);
    let folded: Vec<String> = national
        .map(|coupler| spelling::folded(&coupler.name))
        .collect();
    let figure = |letter: char| letter.is_ascii_digit();
    let mut starts: Vec<&str> = Vec::new();
    for name in &folded {
        let body = name.find(figure).unwrap_or(name.len());
        let number = name[body..].find(|letter| !figure(letter));
        starts.extend([&name[..body], &name[..body + number.unwrap_or(0)]]);
    }
    starts.sort_unstable();
    starts.dedup();
    let starts = starts.into_iter().filter(|start| !start.is_empty());
    // `CEE` alone is not only CEE 7.
    let starts = starts.filter(|start| *start != "CEE");
    let standards = starts.map(|start| {
        let body = start.trim_end_matches(figure);
        let others = OTHER_WORDS.iter().filter(|(word, _)| *word == body);
        let others = others.map(|(_, other)| start.replacen(body, other, 1));
        let all: Vec<String> = others.chain([start.to_owned()]).collect();
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        let is_its = |coupler: &Coupler| {
            let name = spelling::folded(&coupler.name);
            coupler.family == Family::National && spelling::behind(&name, start).is_some()
        };
        standard(&all, is_its, |names| list(start_of(names), names))
    });
    standards.collect()
}

/// The words that all names begin with, as the standard writes them.
fn start_of<'n>(names: &[&'n str]) -> &'n str {
    let Some((first, others)) = names.split_first() else {
        return "this standard";
    };
    let is_shared = |start: &str| others.iter().all(|name| name.starts_with(start));
    let ends = first.match_indices([' ', '/', '-']).map(|(at, _)| at);
    let mut ends: Vec<usize> = ends.chain([first.len()]).collect();
    ends.reverse();
    let shared = ends.into_iter().map(|end| &first[..end]);
    let mut shared = shared.filter(|start| is_shared(start));
    shared.next().unwrap_or("this standard")
}
