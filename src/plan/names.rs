//! Names for new cords and new types: as the site names its own.

use std::collections::BTreeSet;

use regex::Regex;
use regex_syntax::hir::{Class, Hir, HirKind};

use crate::model::Model;
use crate::quantity::Quantity;

use super::make::{NewMake, NewType};

/// A type called what it is: `c14-c13-10a-1.5m-blue`. Where another cord has that name already, the name tells
/// more.
///
/// A site that says what its types are called has it so.
pub(super) fn of_type(
    new: &NewType,
    pattern: Option<&str>,
    is_taken: impl Fn(&str) -> bool,
) -> String {
    let told = match (pattern, new) {
        (Some(pattern), _) => vec![filled(pattern, new)],
        (None, NewType::Plain(make)) => of_plain(make),
        (None, NewType::OfMake(of)) => {
            let mut parts = of.ends.to_vec();
            parts.extend([of.bought.clone(), of.colour.clone()]);
            let plain = joined(&parts);
            let with_make = format!("{plain}-{}", joined(std::slice::from_ref(&of.make)));
            vec![plain, with_make]
        }
    };
    let free = told.iter().find(|name| !is_taken(name)).cloned();
    free.unwrap_or_else(|| {
        let plain = told.into_iter().next().unwrap_or_default();
        let numbered = (2..).map(|number| format!("{plain}-{number}"));
        let mut free = numbered.filter(|name| !is_taken(name));
        free.next().unwrap_or_default()
    })
}

/// The pattern with the properties of a type put in; those that its make says stand as the make's name.
fn filled(pattern: &str, new: &NewType) -> String {
    let part = |text: String| joined(&[text]);
    let values: [(&str, String); 7] = match new {
        NewType::Plain(make) => [
            ("{plug}", part(make.plug.name.to_string())),
            ("{connector}", part(make.connector.name.to_string())),
            ("{rating}", part(make.rating.show())),
            ("{length}", part(make.bought.clone())),
            ("{colour}", part(make.colour.clone())),
            ("{conductor}", part(make.conductor.show())),
            ("{cordage}", part(make.cordage.name.to_string())),
        ],
        NewType::OfMake(of) => {
            let [plug, connector, rating] = of.ends.clone();
            [
                ("{plug}", part(plug)),
                ("{connector}", part(connector)),
                ("{rating}", part(rating)),
                ("{length}", part(of.bought.clone())),
                ("{colour}", part(of.colour.clone())),
                ("{conductor}", part(of.make.clone())),
                ("{cordage}", part(of.make.clone())),
            ]
        }
    };
    let all = values.iter();
    all.fold(pattern.to_owned(), |text, (place, value)| {
        text.replace(place, value)
    })
}

/// Names for a cord of the tables, each telling more than the one before.
fn of_plain(make: &NewMake) -> Vec<String> {
    let plain = [
        make.plug.name.to_string(),
        make.connector.name.to_string(),
        make.rating.show(),
        make.bought.clone(),
        make.colour.clone(),
    ];
    let plain = joined(&plain);
    let cordage = format!("{plain}-{}", joined(&[make.cordage.name.to_string()]));
    let size = format!("{cordage}-{}", joined(&[make.conductor.show()]));
    let held = make
        .retention
        .map(|(plug, connector)| format!("{size}-{}-{}", plug.word(), connector.word()));
    let angled = make
        .angle
        .map(|angle| format!("{}-{angle}", held.as_ref().unwrap_or(&size)));
    let told = [Some(plain), Some(cordage), Some(size), held, angled];
    told.into_iter().flatten().collect()
}

/// Small letters, digits, points and hyphens alone.
fn joined(parts: &[String]) -> String {
    let parts = parts.iter().map(|part| {
        let kept = part.to_lowercase().replace(' ', "").replace(['²', '/'], "");
        let kept = kept.chars().map(|c| {
            if c.is_alphanumeric() || c == '.' {
                c
            } else {
                '-'
            }
        });
        kept.collect::<String>().trim_matches('-').to_owned()
    });
    parts.collect::<Vec<_>>().join("-")
}

/// Labels for new cords, one after the other.
#[derive(Clone, Debug)]
pub(super) struct Labels {
    shape: Shape,
    next: u64,
    taken: BTreeSet<String>,
}

/// A label with places for a number.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Shape {
    before: String,
    digits: usize,
    after: String,
    /// Whether the number may have more digits than that.
    may_grow: bool,
}

impl Labels {
    /// Labels that go on where those of the site end, or that are of its pattern; `None` where no number fits
    /// into the pattern.
    /// Labels of cords that hang still and are to be pulled, `hanging`, are not given again.
    pub fn of(model: &Model, hanging: Option<&Model>) -> Option<Self> {
        let all = std::iter::once(model).chain(hanging);
        let cords = all.clone().flat_map(|model| model.cords.items());
        let own = cords.map(|cord| cord.name.value.as_str());
        let pattern = model.site.label.written().ok().flatten();
        let pattern = pattern.map(|pattern| pattern.value.trim().to_owned());
        let names = all.flat_map(|model| model.names());
        let taken = names.map(|name| name.value.to_string()).collect();
        let (shape, next) = match commonest(own) {
            Some((shape, last)) => (shape, last + 1),
            None => (of_pattern(pattern.as_deref())?, 1),
        };
        let labels = Self { shape, next, taken };
        let fits = match &pattern {
            None => true,
            Some(pattern) => {
                let whole = Regex::new(&format!(r"\A(?:{pattern})\z")).ok()?;
                whole.is_match(&labels.shape.filled(labels.next))
            }
        };
        fits.then_some(labels)
    }

    /// The next label; `None` where the places for the number are used up.
    pub fn next(&mut self) -> Option<String> {
        loop {
            let label = self.shape.filled(self.next);
            let is_long = self.next.to_string().len() > self.shape.digits;
            if is_long && !self.shape.may_grow {
                return None;
            }
            self.next += 1;
            if !self.taken.contains(&label) {
                return Some(label);
            }
        }
    }
}

impl Shape {
    fn filled(&self, number: u64) -> String {
        let (before, after, digits) = (&self.before, &self.after, self.digits);
        format!("{before}{number:0digits$}{after}")
    }

    /// A label's shape by its last number, and that number.
    fn of(label: &str) -> Option<(Self, u64)> {
        let end = label.rfind(|c: char| c.is_ascii_digit())? + 1;
        let start = label[..end]
            .rfind(|c: char| !c.is_ascii_digit())
            .map_or(0, |at| {
                at + label[at..].chars().next().map_or(1, char::len_utf8)
            });
        let number = label.get(start..end)?.parse().ok()?;
        let shape = Self {
            before: label[..start].to_owned(),
            digits: end - start,
            after: label[end..].to_owned(),
            may_grow: false,
        };
        Some((shape, number))
    }
}

/// The shape that most labels have, with the largest number among them; of equally many the first by its text.
fn commonest<'a>(labels: impl Iterator<Item = &'a str>) -> Option<(Shape, u64)> {
    let mut shapes: std::collections::BTreeMap<(String, usize, String), (usize, u64)> =
        std::collections::BTreeMap::new();
    for (shape, number) in labels.filter_map(Shape::of) {
        let key = (shape.before, shape.digits, shape.after);
        let (count, last) = shapes.entry(key).or_default();
        *count += 1;
        *last = number.max(*last);
    }
    let best = shapes
        .into_iter()
        .rev()
        .max_by_key(|(_, (count, _))| *count)?;
    let ((before, digits, after), (_, last)) = best;
    let may_grow = false;
    Some((
        Shape {
            before,
            digits,
            after,
            may_grow,
        },
        last,
    ))
}

/// The shape that a pattern of labels asks for; without one `W-0001`.
fn of_pattern(pattern: Option<&str>) -> Option<Shape> {
    let Some(pattern) = pattern else {
        return Some(Shape {
            before: "W-".into(),
            digits: 4,
            after: String::new(),
            may_grow: true,
        });
    };
    let parsed = regex_syntax::parse(pattern).ok()?;
    let mut letters = Vec::new();
    spell(&parsed, &mut letters);
    let is_digit = |letter: &Letter| matches!(letter, Letter::Digit);
    let last = letters.iter().rposition(is_digit)?;
    let first = letters[..last]
        .iter()
        .rposition(|letter| !is_digit(letter))
        .map_or(0, |at| at + 1);
    let text = |letters: &[Letter]| letters.iter().map(|letter| letter.char()).collect();
    Some(Shape {
        before: text(&letters[..first]),
        digits: last + 1 - first,
        after: text(&letters[last + 1..]),
        may_grow: false,
    })
}

/// A letter of a label that a pattern takes.
#[derive(Clone, Copy, Debug)]
enum Letter {
    /// Any digit.
    Digit,
    /// This one.
    Just(char),
}

impl Letter {
    fn char(self) -> char {
        match self {
            Self::Digit => '0',
            Self::Just(c) => c,
        }
    }
}

/// Letters of a pattern's shortest match; more than any label has are left out.
fn spell(hir: &Hir, letters: &mut Vec<Letter>) {
    const MOST: usize = 100;
    if letters.len() > MOST {
        return;
    }
    match hir.kind() {
        HirKind::Empty | HirKind::Look(_) => {}
        HirKind::Literal(literal) => {
            let text = String::from_utf8_lossy(&literal.0).into_owned();
            letters.extend(text.chars().map(Letter::Just));
        }
        HirKind::Class(class) => letters.extend(letter_of(class)),
        HirKind::Repetition(repeated) => {
            let least = repeated.min.min(MOST as u32);
            let times = if is_of_digits(&repeated.sub) {
                least.max(1)
            } else {
                least
            };
            (0..times).for_each(|_| spell(&repeated.sub, letters));
        }
        HirKind::Capture(capture) => spell(&capture.sub, letters),
        HirKind::Concat(parts) => parts.iter().for_each(|part| spell(part, letters)),
        HirKind::Alternation(parts) => {
            parts
                .first()
                .into_iter()
                .for_each(|part| spell(part, letters));
        }
    }
}

fn is_of_digits(hir: &Hir) -> bool {
    matches!(hir.kind(), HirKind::Class(class) if matches!(letter_of(class), Some(Letter::Digit)))
}

fn letter_of(class: &Class) -> Option<Letter> {
    let Class::Unicode(class) = class else {
        return None;
    };
    let has = |c: char| {
        class
            .ranges()
            .iter()
            .any(|range| (range.start()..=range.end()).contains(&c))
    };
    if ('0'..='9').all(has) {
        return Some(Letter::Digit);
    }
    Some(Letter::Just(class.ranges().first()?.start()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn first_of(pattern: &str) -> Option<String> {
        Some(of_pattern(Some(pattern))?.filled(7))
    }

    #[test]
    fn labels_are_of_the_pattern() {
        for (pattern, label) in [
            (r"W-[0-9]{4}", "W-0007"),
            (r"(W|C)-\d{3}[AB]", "C-007A"),
            (r"^[A-Z]{2}\d+$", "AA7"),
        ] {
            assert_eq!(first_of(pattern).as_deref(), Some(label), "{pattern}");
        }
        assert_eq!(first_of("[a-z]+"), None);
    }

    #[test]
    fn labels_go_on_where_those_of_the_site_end() {
        let labels = ["W-0412", "W-0007", "H-1", "spare"];
        let (shape, last) = commonest(labels.into_iter()).unwrap();
        assert_eq!(shape.filled(last + 1), "W-0413");
    }
}
