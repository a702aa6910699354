//! The known word that an unknown one is nearest to, and whether it is surely meant.

mod distance;
mod plain;

use std::fmt::Display;

pub(crate) use distance::{Glance, Spelt, plain_slips};
pub use plain::deception;
use plain::plain;

/// A known word near an unknown one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Near<W> {
    /// The word.
    pub word: W,
    /// Whether only the spelling is wrong, so that the word can be written without asking.
    pub is_sure: bool,
}

impl<W: Display> Near<W> {
    /// What to ask the author.
    pub fn question(&self) -> String {
        match self.is_sure {
            true => format!("Write `{}`?", self.word),
            false => format!("Is `{}` meant?", self.word),
        }
    }
}

/// Words to choose from: `A, mA or kA`.
pub fn either(words: &[String]) -> String {
    match words {
        [first @ .., last] if !first.is_empty() => format!("{} or {last}", first.join(", ")),
        _ => words.concat(),
    }
}

/// Letters by which a text differs from a word: added, left out, exchanged or swapped with the next.
pub fn slips(text: &str, word: &str) -> usize {
    match text.len() {
        ..=LONGEST => strsim::damerau_levenshtein(&plain(text), &plain(word)),
        _ => usize::MAX,
    }
}

/// Bytes above which a text is not compared with words.
const LONGEST: usize = 64;

/// The nearest of `words` to a misspelt one, if any is near; of equally near ones the first by name.
pub fn nearest<'w>(text: &str, words: impl Iterator<Item = &'w str>) -> Option<Near<&'w str>> {
    if text.len() > LONGEST {
        return None;
    }
    let allowed = (text.chars().count() / 3).clamp(1, 3);
    let spelt = Spelt::new(&plain(text));
    let measured = words.filter_map(|word| Some((spelt.slips_to(&plain(word), allowed)?, word)));
    let mut near: Vec<_> = measured.collect();
    near.sort_unstable();
    near.dedup();
    let &(least, word) = near.first()?;
    let is_alone = near.get(1).is_none_or(|(off, _)| *off > least);
    Some(Near {
        word,
        is_sure: is_alone && is_same_misspelt(text, word),
    })
}

/// Whether a text is `word` but for letter case, look-alikes, invisible characters and what joins it.
pub fn is_respelt(text: &str, word: &str) -> bool {
    if text.len() > LONGEST {
        return false;
    }
    let (text, word) = (plain(text), plain(word));
    let is_letter = |c: &char| kind(*c) != Kind::Joint;
    text.chars()
        .filter(is_letter)
        .eq(word.chars().filter(is_letter))
}

/// Whether a text is `word` but for slips in its longer words, its letter case or what joins them.
/// `server-03` is no slip of `server-01`, nor `pdu-b` of `pdu-a`: those are two things.
fn is_same_misspelt(text: &str, word: &str) -> bool {
    let (text, word) = (folded(text), folded(word));
    let (ours, theirs) = (runs(&text), runs(&word));
    let joined_otherwise = || ours.concat() == theirs.concat() && marks(&ours).eq(marks(&theirs));
    let mut pairs = ours.iter().zip(&theirs);
    ours.len() == theirs.len()
        && pairs.all(|(ours, theirs)| ours == theirs || is_slip(ours, theirs))
        || joined_otherwise()
}

fn folded(text: &str) -> Vec<char> {
    plain(text).chars().collect()
}

#[derive(PartialEq, Eq)]
enum Kind {
    Letter,
    Digit,
    Joint,
    Sign,
}

fn kind(c: char) -> Kind {
    match c {
        '-' | '_' | ' ' => Kind::Joint,
        _ if c.is_alphabetic() => Kind::Letter,
        _ if c.is_numeric() => Kind::Digit,
        _ => Kind::Sign,
    }
}

/// The runs of letters, of digits and of signs, without what joins them.
fn runs(text: &[char]) -> Vec<&[char]> {
    let runs = text.chunk_by(|&one, &next| kind(one) == kind(next));
    runs.filter(|run| kind(run[0]) != Kind::Joint).collect()
}

/// Whether a run is long enough to be a word; all others are marks that tell one thing from the next.
fn is_word(run: &[char]) -> bool {
    run.len() > 2 && kind(run[0]) == Kind::Letter
}

fn marks<'r>(runs: &'r [&[char]]) -> impl Iterator<Item = &'r [char]> {
    runs.iter().copied().filter(|run| !is_word(run))
}

/// Whether `text` is a slip of `word`. Three letters are too few to say (`psu`, `pdu`), what begins
/// otherwise is another word (`weight`, `height`), and a last letter may be a mark (`raila`, `railb`).
fn is_slip(text: &[char], word: &[char]) -> bool {
    let is_long = text.len().max(word.len()) > 3 && is_word(text) && is_word(word);
    let ends_otherwise = text.len() >= word.len() && word.starts_with(&text[..text.len() - 1]);
    is_long && text[0] == word[0] && !ends_otherwise
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near<'w>(text: &str, words: &[&'w str]) -> Option<(&'w str, bool)> {
        nearest(text, words.iter().copied()).map(|near| (near.word, near.is_sure))
    }

    #[test]
    fn a_misspelt_word_is_sure() {
        for (text, word) in [
            ("sevrer-01", "server-01"),
            ("server-01-lfet", "server-01-left"),
            ("hal", "hall"),
            ("hight", "height"),
            ("inlet", "inlets"),
            ("coupler-mismach", "coupler-mismatch"),
            ("fö-strese", "fö-strasse"),
        ] {
            assert_eq!(near(text, &[word]), Some((word, true)), "{text}");
        }
    }

    #[test]
    fn case_and_joints_are_only_spelling() {
        for (text, word) in [
            ("Server_03", "server-03"),
            ("Pdu-a", "pdu-a"),
            ("server03", "server-03"),
            ("cordtypes", "cord-types"),
            ("pdu R1-a", "pdu-r1-a"),
            ("CORDS", "cords"),
            ("\u{441}\u{43e}rds", "cords"),
            ("\u{ff43}\u{ff4f}\u{ff52}\u{ff44}\u{ff53}", "cords"),
            ("cords\u{200b}", "cords"),
            ("pdu-\u{430}", "pdu-a"),
        ] {
            assert_eq!(near(text, &[word]), Some((word, true)), "{text}");
        }
    }

    #[test]
    fn a_word_is_respelt_by_case_joints_and_look_alikes_only() {
        for text in [
            "Cord_Types",
            "cordtypes",
            "cordTypes",
            "cord types ",
            "cord\u{2013}typ\u{435}s",
        ] {
            assert!(is_respelt(text, "cord-types"), "{text}");
        }
        for text in ["cord-type", "cord.types", "cards-types", ""] {
            assert!(!is_respelt(text, "cord-types"), "{text}");
        }
    }

    #[test]
    fn another_number_or_mark_is_another_thing() {
        for (text, word) in [
            ("server-03", "server-01"),
            ("server-1", "server-01"),
            ("rack-1-12", "rack-11-2"),
            ("sevrer-03", "server-01"),
            ("pdu-r1-a", "pdu-r1-b"),
            ("server", "server-a"),
            ("server-ab", "serverab"),
            ("c13-1n", "c13-1m"),
            ("c13-.5m", "c13-5m"),
            ("bus+", "bus-"),
            ("TT", "IT"),
        ] {
            assert_eq!(near(text, &[word]), Some((word, false)), "{text}");
        }
    }

    #[test]
    fn what_may_be_another_word_is_asked() {
        for (text, word) in [
            ("psu1", "pdu1"),
            ("sts-01", "ats-01"),
            ("weight", "height"),
            ("raila", "railb"),
            ("rowA1", "rowB1"),
            ("routerb", "router"),
        ] {
            assert_eq!(near(text, &[word]), Some((word, false)), "{text}");
        }
    }

    #[test]
    fn of_equally_near_words_none_is_sure() {
        assert_eq!(near("bost", &["boast", "boost"]), Some(("boast", false)));
        assert_eq!(near("bost", &["boost", "boost"]), Some(("boost", true)));
        assert_eq!(near("boosst", &["boast", "boost"]), Some(("boost", true)));
    }

    #[test]
    fn what_is_far_or_long_is_not_near() {
        assert_eq!(near("ups", &["generator", "hall"]), None);
        let long = "x".repeat(65);
        assert_eq!(near(&long, &[&long]), None);
    }

    #[test]
    fn only_what_is_sure_is_to_be_written() {
        let question = |is_sure| {
            Near {
                word: "hall",
                is_sure,
            }
            .question()
        };
        assert_eq!(question(true), "Write `hall`?");
        assert_eq!(question(false), "Is `hall` meant?");
    }
}
