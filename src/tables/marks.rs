//! Approval marks: what each is, whose word it is, and where it came to be replaced.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::citation::Citation;
use crate::spelling::{self, Near};
use crate::tables::{Provenance, Table, approvals, countries};

#[cfg(test)]
mod tests;

/// Who puts a mark on a part, or lets it be put there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GivenBy {
    /// A laboratory of a national programme, such as an NRTL.
    Laboratory,
    /// A national certification body.
    CertificationBody,
    /// An authority of the state.
    Authority,
    /// Whoever makes or sells the part.
    Maker,
}

impl GivenBy {
    fn words(self) -> &'static str {
        match self {
            Self::Laboratory => "a testing laboratory",
            Self::CertificationBody => "a certification body",
            Self::Authority => "an authority",
            Self::Maker => "the maker",
        }
    }
}

/// What a mark stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StandsFor {
    /// The finished cord set is listed.
    CordSet,
    /// Plug and connector were tested, each by itself.
    Couplers,
    /// The flexible cord alone was tested.
    Cordage,
    /// A component was tested, for use inside other equipment.
    Component,
    /// Whoever makes the part declares it to be as it must be.
    Declaration,
    /// Nothing that the safety of a cord turns on.
    Nothing,
}

/// A mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// For example `cULus`.
    pub name: String,
    /// Other ways to write it.
    pub spellings: Vec<String>,
    /// Whose word it is.
    pub given_by: GivenBy,
    /// ISO 3166-1 alpha-2 code of the country of whoever gives it; `None` where several do.
    pub home: Option<String>,
    /// What it stands for.
    pub stands_for: StandsFor,
    /// Keys of the markets that take it.
    pub taken_in: Vec<String>,
    /// Keys of the markets in which its name alone does not tell which of several marks it is.
    pub unclear_in: Vec<String>,
    /// The first year in which parts were made under it, where known.
    pub since: Option<u16>,
    /// The last year in which parts were made under it, where it was replaced.
    pub until: Option<u16>,
    /// The mark that replaced it.
    pub replaced_by: Option<String>,
    /// Where all this comes from.
    pub citation: Citation,
}

impl Mark {
    /// Whether it says that somebody independent tested a cord set, or its plug and connector.
    pub fn is_approval(&self) -> bool {
        matches!(self.stands_for, StandsFor::CordSet | StandsFor::Couplers)
    }

    /// Whether it stands for a listing of finished cord sets in the United States or Canada.
    pub fn is_north_american_listing(&self) -> bool {
        self.is_listing_in(&["us", "ca"])
    }

    /// Whether it stands for the listing of the finished cord set in one of these countries.
    pub fn is_listing_in(&self, countries: &[&str]) -> bool {
        let mut taken_in = self.taken_in.iter();
        self.stands_for == StandsFor::CordSet && taken_in.any(|key| countries.contains(&&**key))
    }

    /// Whether its name does not tell there whether it is such a listing.
    pub fn may_be_north_american(&self) -> bool {
        let mut unclear_in = self.unclear_in.iter();
        unclear_in.any(|key| key == "us" || key == "ca")
    }

    /// What it is, in a few words: `the maker's own word, not an approval`.
    pub fn what(&self) -> String {
        match self.stands_for {
            StandsFor::CordSet => format!("a listing of the finished cord set by {}", self.giver()),
            StandsFor::Couplers => format!("a test of plug and connector by {}", self.giver()),
            StandsFor::Cordage => {
                "a mark of the cordage alone, not of plug and connector".to_owned()
            }
            StandsFor::Component => {
                "a mark of parts for use inside other equipment, not of a cord set".to_owned()
            }
            StandsFor::Declaration => "the maker's own word, not an approval".to_owned(),
            StandsFor::Nothing => "no mark of the safety of cords".to_owned(),
        }
    }

    /// Who gives it: `a certification body (Germany)`.
    fn giver(&self) -> String {
        let home = self.home.as_deref().and_then(countries::country);
        let giver = self.given_by.words();
        home.map_or_else(
            || giver.to_owned(),
            |home| format!("{giver} ({})", home.name),
        )
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    mark: String,
    #[serde(default)]
    spellings: Vec<String>,
    #[serde(default)]
    exactly: Vec<String>,
    #[serde(default)]
    numbered: Vec<String>,
    given_by: GivenBy,
    home: Option<String>,
    stands_for: StandsFor,
    #[serde(default)]
    taken_in: Vec<String>,
    #[serde(default)]
    unclear_in: Vec<String>,
    since: Option<u16>,
    until: Option<u16>,
    replaced_by: Option<String>,
    from: Provenance,
}

/// All marks, and how they are found.
struct Marks {
    all: Vec<Mark>,
    by_text: HashMap<String, usize>,
    by_letters: HashMap<String, usize>,
    numbered: Vec<(String, usize)>,
}

static MARKS: LazyLock<Marks> = LazyLock::new(|| {
    let mut table: Table<Row> = Table::embedded("marks", include_str!("data/marks.yaml"));
    let rows = std::mem::take(&mut table.rows);
    let mut marks = Marks {
        all: Vec::new(),
        by_text: HashMap::new(),
        by_letters: HashMap::new(),
        numbered: Vec::new(),
    };
    for (at, row) in rows.into_iter().enumerate() {
        for exact in &row.exactly {
            marks.by_text.insert(text(exact), at);
        }
        for name in row.spellings.iter().chain([&row.mark]) {
            marks.by_letters.insert(letters(name), at);
        }
        let numbered = row.numbered.iter().map(|start| (letters(start), at));
        marks.numbered.extend(numbered);
        marks.all.push(Mark {
            citation: table.cite(&row.from),
            name: row.mark,
            spellings: row.spellings.into_iter().chain(row.exactly).collect(),
            given_by: row.given_by,
            home: row.home,
            stands_for: row.stands_for,
            taken_in: row.taken_in,
            unclear_in: row.unclear_in,
            since: row.since,
            until: row.until,
            replaced_by: row.replaced_by,
        });
    }
    marks
});

/// Every mark, in the order of the table.
pub fn all() -> impl Iterator<Item = &'static Mark> {
    MARKS.all.iter()
}

/// The mark that a text means, in any of the spellings of the trade.
pub fn find(mark: &str) -> Option<&'static Mark> {
    if mark.len() > LONGEST {
        return None;
    }
    let letters = letters(mark);
    let found = MARKS.by_text.get(&text(mark));
    let found = found.or_else(|| MARKS.by_letters.get(&letters)).copied();
    let numbered = || {
        let mut starts = MARKS.numbered.iter();
        let (_, at) = starts.find(|(start, _)| is_number_of(start, &letters))?;
        Some(*at)
    };
    MARKS.all.get(found.or_else(numbered)?)
}

/// The name of a mark that an unknown word comes near to.
pub fn nearest(mark: &str) -> Option<Near<&'static str>> {
    let is_word = mark.chars().count() > 2;
    let names = || all().map(|mark| mark.name.as_str());
    is_word.then(|| spelling::nearest(mark, names()))?
}

/// The markets in which a mark is taken on wall plugs, in the order of their table.
pub fn markets(mark: &Mark) -> impl Iterator<Item = &'static approvals::Market> {
    approvals::all().filter(move |market| market.takes(mark))
}

/// Bytes above which no text is a mark.
const LONGEST: usize = 64;

/// Whether a text, by its letters, is the start of a mark with a number behind it.
fn is_number_of(start: &str, letters: &str) -> bool {
    let Some(number) = letters.strip_prefix(start) else {
        return false;
    };
    let digits = number.chars().take_while(char::is_ascii_digit).count();
    digits >= 2 && number.len() <= digits + 4
}

/// A text in small letters without blanks.
fn text(mark: &str) -> String {
    let letters = mark.chars().filter(|c| !c.is_whitespace());
    letters.flat_map(char::to_lowercase).collect()
}

/// What tells marks apart: letters, digits and `+`, in small letters and without accents.
fn letters(mark: &str) -> String {
    let letters = mark.chars().flat_map(char::to_lowercase);
    let letters = letters.filter(|c| c.is_alphanumeric() || *c == '+');
    letters.map(plain).collect()
}

fn plain(letter: char) -> char {
    match letter {
        'ä' => 'a',
        'č' => 'c',
        'é' | 'è' => 'e',
        'ö' => 'o',
        'ú' | 'ü' => 'u',
        other => other,
    }
}
