//! How people write pin-and-sleeve couplers: by their parts in any order, and by trade codes.
//!
//! What is written may mean several couplers. All of them are found, and only what means one is read.

use std::sync::LazyLock;

use serde::Deserialize;

use super::pin_and_sleeve::{PinAndSleeve, PoleCount, name};
use super::{RatedVoltage, Side, spelling};
use crate::quantity::InUnits;
use crate::tables::{Provenance, Table};

/// What a text says of a pin-and-sleeve coupler.
#[derive(Debug, PartialEq)]
pub(super) struct Written {
    amperes: u16,
    /// What the words for the poles may mean.
    poles: Vec<PoleCount>,
    hour: Option<u8>,
    /// Volts that are written, and those that a written colour stands for.
    volts: Vec<(f64, f64)>,
    /// The half that a trade code names.
    pub side: Option<Side>,
}

impl Written {
    /// The names that it may stand for; whether there are such couplers, and for its volts, is not yet looked at.
    pub fn names(&self) -> impl Iterator<Item = String> + '_ {
        let each = self.poles.iter();
        each.map(|&poles| name(self.amperes, poles, self.hour.or(poles.only_hour())))
    }

    /// Whether it leaves the position open and says something of the voltage, which a position must then have.
    pub fn wants_position(&self) -> bool {
        self.hour.is_none() && !self.volts.is_empty()
    }

    /// Whether a position may be meant by the volts and the colour that are written.
    pub fn agrees(&self, rated: &RatedVoltage) -> bool {
        let highest = rated.highest.in_volts();
        let lowest = rated.lowest.map_or(highest, InUnits::in_volts);
        let mut ranges = self.volts.iter();
        ranges.all(|(from, to)| *from <= highest && lowest <= *to)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ColourRow {
    colour: String,
    volts: (f64, f64),
    #[expect(dead_code, reason = "read so that no row is without it")]
    from: Provenance,
}

struct Colour {
    word: String,
    volts: (f64, f64),
}

static COLOURS: LazyLock<Vec<Colour>> = LazyLock::new(|| {
    let text = include_str!("../data/couplers-iec-60309-colours.yaml");
    let table: Table<ColourRow> = Table::embedded("couplers-iec-60309-colours", text);
    let colour = |row: ColourRow| Colour {
        word: row.colour.to_ascii_uppercase(),
        volts: row.volts,
    };
    table.rows.into_iter().map(colour).collect()
});

/// The colours that may be written.
pub(super) fn colours() -> impl Iterator<Item = &'static str> {
    COLOURS.iter().map(|colour| colour.word.as_str())
}

const OF_IEC: &[&str] = &["60309-2", "60309-1", "60309", "309-2", "309-1", "309"];

/// Standards whose name may stand before the parts: the body, and its numbers, the longest first. CEE 17 came
/// before IEC 60309, and its name stayed.
const STANDARDS: [(&str, &[&str]); 4] = [
    ("CEE", &["17", ""]),
    ("IEC", OF_IEC),
    ("EN", OF_IEC),
    ("", &["60309-2", "60309-1", "60309"]),
];

/// National bodies that take European standards over under their number: `BS EN 60309-2`.
const ADOPTERS: [&str; 6] = ["BS", "DIN", "NEN", "NF", "SS", "UNE"];

/// A name without the national body before its European standard.
fn unadopted(normal: &str) -> &str {
    let mut bodies = ADOPTERS.iter();
    let found = bodies.find_map(|body| Some(joints_off(normal.strip_prefix(body)?)));
    found
        .filter(|rest| rest.starts_with("EN"))
        .unwrap_or(normal)
}

/// What a text says, if it is the name of a pin-and-sleeve coupler: `CEE 32A 5p`, `60309 16 A 2P+E 6h`, `332P6W`.
pub(super) fn written(text: &str) -> Option<Written> {
    if text.chars().nth(spelling::LONGEST).is_some() {
        return None;
    }
    let normal = spelling::normal(text);
    if let Some(code) = code(&normal) {
        return Some(code);
    }
    let normal = unadopted(&normal);
    STANDARDS.iter().find_map(|(body, numbers)| {
        let rest = joints_off(normal.strip_prefix(body)?);
        let rests = numbers
            .iter()
            .filter_map(|number| rest.strip_prefix(number));
        let mut rests = rests.map(joints_off);
        rests.find_map(|rest| code(rest).or_else(|| parts(rest, *body == "CEE")))
    })
}

fn joints_off(text: &str) -> &str {
    text.trim_start_matches(['-', ',', ';'])
}

/// A North American trade code: wires, amperes, a letter for the half, the hour, and `W` for watertight.
/// `332P6W` has 3 wires, 32 A, and is the plug at 6 h (from the examples of a public schema of power equipment).
fn code(normal: &str) -> Option<Written> {
    let normal = normal.strip_suffix('W').unwrap_or(normal);
    let at = normal.find(|letter: char| letter.is_ascii_uppercase())?;
    let (figures, rest) = normal.split_at(at);
    let (wires, amperes) = figures.split_at_checked(1)?;
    let mut letters = rest.chars();
    let side = match letters.next()? {
        'P' | 'B' => Side::Pins,
        'R' | 'C' => Side::Contacts,
        _ => return None,
    };
    let is_plain =
        |digits: &str| !digits.starts_with('0') && digits.bytes().all(|b| b.is_ascii_digit());
    let (amperes, hour) = (amperes, letters.as_str());
    if !is_plain(amperes) || !is_plain(hour) {
        return None;
    }
    Some(Written {
        amperes: amperes.parse().ok()?,
        poles: contacts(wires.parse().ok()?)?.to_vec(),
        hour: Some(hour.parse().ok().filter(|hour| (1..=12).contains(hour))?),
        volts: Vec::new(),
        side: Some(side),
    })
}

/// All codes of a configuration whose hour is known.
pub(super) fn codes(key: PinAndSleeve) -> Vec<String> {
    let wires = key.poles.contacts();
    let hour = key.hour.into_iter();
    let codes = hour.flat_map(|hour| {
        let code = move |half| format!("{wires}{}{half}{hour}W", key.amperes);
        ["P", "C", "R", "B"].map(code)
    });
    codes.collect()
}

/// The pole counts with so many contacts, the earth among them.
fn contacts(count: u8) -> Option<&'static [PoleCount]> {
    match count {
        3 => Some(&[PoleCount::TwoPole]),
        4 => Some(&[PoleCount::ThreePole, PoleCount::TwoPoleNeutral]),
        5 => Some(&[PoleCount::ThreePoleNeutral]),
        _ => None,
    }
}

/// Words for poles that mean one count each; `P` for a line is written `L`, too.
const POLE_WORDS: [(&str, PoleCount); 8] = [
    ("3P+N+E", PoleCount::ThreePoleNeutral),
    ("3L+N+E", PoleCount::ThreePoleNeutral),
    ("2P+N+E", PoleCount::TwoPoleNeutral),
    ("1P+N+E", PoleCount::TwoPole),
    ("L+N+E", PoleCount::TwoPole),
    ("3P+E", PoleCount::ThreePole),
    ("3L+E", PoleCount::ThreePole),
    ("2P+E", PoleCount::TwoPole),
];

/// What stands behind a count of contacts, the earth among them.
const CONTACT_WORDS: [&str; 5] = ["-PINS", "PINS", "-PIN", "PIN", "W"];
/// What stands behind a count that some take with the earth and some without it.
const LOOSE_WORDS: [&str; 7] = ["-POLIG", "POLIG", "-POLE", "POLE", "-POL", "POL", "P"];

/// The parts of a name in any order, each once.
fn parts(text: &str, is_cee: bool) -> Option<Written> {
    let text = text.replace("+PE", "+E");
    let mut rest = text.as_str();
    let (mut amperes, mut hour, mut poles) = (None, None, None);
    let (mut volts, mut colour) = (None, None);
    while !rest.is_empty() {
        if let Some((word, behind)) = pole_word(rest) {
            rest = first(&mut poles, word, behind)?;
        } else if let Some(found) = COLOURS.iter().find(|one| rest.starts_with(&one.word)) {
            rest = first(&mut colour, found, &rest[found.word.len()..])?;
        } else {
            let end = rest.find(|letter: char| !letter.is_ascii_digit())?;
            let (figures, behind) = rest.split_at(end);
            // `60309-20A` is no `60309-2` with `0A`.
            let number: u16 = figures.parse().ok().filter(|_| !figures.starts_with('0'))?;
            rest = match behind.chars().next()? {
                'A' => first(&mut amperes, number, &behind[1..])?,
                'H' => first(&mut hour, u8::try_from(number).ok()?, &behind[1..])?,
                'V' => first(&mut volts, number, &behind[1..])?,
                '/' => between_lines(&behind[1..])?,
                _ => return None,
            };
        }
        rest = joints_off(rest);
    }
    let mut poles = poles?.meant();
    // Blue at 230 V has two poles and earth wherever they say CEE; no other three are meant.
    let is_blue = colour.is_some_and(|colour: &Colour| colour.word == "BLUE");
    if is_cee && is_blue && hour.is_none() && poles.len() > 1 && poles[0] == PoleCount::TwoPole {
        poles.truncate(1);
    }
    let written = volts.map(|volts| (f64::from(volts), f64::from(volts)));
    let volts = written.into_iter().chain(colour.map(|colour| colour.volts));
    Some(Written {
        amperes: amperes?,
        poles,
        hour,
        volts: volts.collect(),
        side: None,
    })
}

/// What stands behind the volts to neutral: those between lines, which count.
fn between_lines(text: &str) -> Option<&str> {
    let behind = text.trim_start_matches(|letter: char| letter.is_ascii_digit());
    (behind.starts_with('V') && behind.len() < text.len()).then_some(text)
}

/// Takes what was not said before; what is said twice is no name.
fn first<'t, T>(place: &mut Option<T>, value: T, rest: &'t str) -> Option<&'t str> {
    place.replace(value).is_none().then_some(rest)
}

enum PoleWord {
    One(PoleCount),
    /// So many contacts, the earth among them.
    Contacts(u8),
    /// So many of what may be contacts, or poles without the earth.
    Loose(u8),
}

impl PoleWord {
    fn meant(self) -> Vec<PoleCount> {
        let with = |count| contacts(count).unwrap_or_default().iter().copied();
        match self {
            Self::One(poles) => vec![poles],
            Self::Contacts(count) => with(count).collect(),
            Self::Loose(count) => with(count).chain(with(count + 1)).collect(),
        }
    }
}

fn pole_word(text: &str) -> Option<(PoleWord, &str)> {
    let mut words = POLE_WORDS.iter();
    if let Some(found) = words.find_map(|(word, poles)| Some((*poles, text.strip_prefix(word)?))) {
        return Some((PoleWord::One(found.0), found.1));
    }
    for (word, count) in [("2P3W", 3), ("3P4W", 4), ("4P5W", 5)] {
        if let Some(rest) = text.strip_prefix(word) {
            return Some((PoleWord::Contacts(count), rest));
        }
    }
    // Four poles and earth are the five contacts that there are.
    if let Some(rest) = text.strip_prefix("4P+E") {
        return Some((PoleWord::Contacts(5), rest));
    }
    let (figure, rest) = text.split_at_checked(1)?;
    let count: u8 = figure
        .parse()
        .ok()
        .filter(|count| (3..=5).contains(count))?;
    let behind = |words: &[&str]| words.iter().find_map(|word| rest.strip_prefix(word));
    let contacts = behind(&CONTACT_WORDS).map(|rest| (PoleWord::Contacts(count), rest));
    let loose = || behind(&LOOSE_WORDS).map(|rest| (PoleWord::Loose(count), rest));
    let (word, rest) = contacts.or_else(loose)?;
    // `3P+X` is neither.
    (!rest.starts_with('+')).then_some((word, rest))
}
