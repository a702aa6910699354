//! What the trade calls a thing that has another name under each practice.
//!
//! A text that reaches people asks for such a word here: rules through `Analysis::words`, tables by braces in
//! a [`Phrase`]. Names that a site gave, keys of the format and titles of standards are none of these words.

use std::borrow::Cow;

use serde::{Deserialize, Deserializer};

use super::{Practice, kept};
use crate::quantity::{Current, amperes};

/// The words of a practice, in the forms that a sentence needs.
#[derive(Debug, PartialEq, Eq)]
pub struct Words {
    /// What is at the potential of the ground; `ed` and `ing` go behind it.
    pub earth: &'static str,
    /// The same with its article, ahead of `fault`.
    pub an_earth: &'static str,
    /// What a plug goes into at the wall or at the end of a circuit's wiring; `s` and the article `a` go with it.
    pub socket: &'static str,
    /// One socket with places for two plugs, as people say it ahead of `one`.
    pub double: &'static str,
    /// The metal around equipment that people touch.
    pub casing: &'static str,
    /// The conductor that keeps it safe; `s` goes behind it.
    pub protective_conductor: &'static str,
    /// The same with its article.
    pub a_protective_conductor: &'static str,
    /// The current that equipment sends down it all the time, as data sheets name it.
    pub standing_current: &'static str,
    /// What opens when current goes astray; `s` and the article `a` go with it.
    pub residual_device: &'static str,
    /// What is printed on it.
    pub residual_rating: &'static str,
    /// What brings the installation to the potential of the ground; `s` goes behind it.
    pub electrode: &'static str,
}

/// The words of IEC standards.
const IEC: Words = Words {
    earth: "earth",
    an_earth: "an earth",
    socket: "socket",
    double: "double",
    casing: "casing",
    protective_conductor: "protective conductor",
    a_protective_conductor: "a protective conductor",
    standing_current: "protective conductor current",
    residual_device: "residual current device",
    residual_rating: "rated residual current",
    electrode: "earth electrode",
};

/// The words of the National Electrical Code.
const NEC: Words = Words {
    earth: "ground",
    an_earth: "a ground",
    socket: "receptacle",
    double: "duplex",
    casing: "enclosure",
    protective_conductor: "equipment grounding conductor",
    a_protective_conductor: "an equipment grounding conductor",
    standing_current: "leakage current",
    residual_device: "ground-fault device",
    residual_rating: "ground-fault trip current",
    electrode: "grounding electrode",
};

impl Words {
    /// The words of a practice; those of the IEC where none is known.
    pub fn of(practice: Option<Practice>) -> &'static Self {
        match practice {
            Some(Practice::Nec) => &NEC,
            Some(Practice::Iec) | None => &IEC,
        }
    }

    /// What opens at this rated current: under the NEC one that guards people has a name of its own.
    pub fn residual_device_of(&self, rated: Current) -> &'static str {
        match self.residual_device == NEC.residual_device && rated <= class_a() {
            true => "GFCI",
            false => self.residual_device,
        }
    }

    /// `the socket of circuit A-1`.
    pub fn socket_of(&self, circuit: &str) -> String {
        format!("the {} of circuit {circuit}", self.socket)
    }

    /// The word by its name in a phrase.
    fn named(&self, name: &str) -> Option<&'static str> {
        Some(match name {
            "earth" => self.earth,
            "an_earth" => self.an_earth,
            "socket" => self.socket,
            "protective_conductor" => self.protective_conductor,
            "standing_current" => self.standing_current,
            "residual_rating" => self.residual_rating,
            "electrode" => self.electrode,
            _ => return None,
        })
    }
}

/// The highest current at which a class A device opens: 4 to 6 mA (UL 943, from memory; it chooses a word only).
fn class_a() -> Current {
    amperes(0.006)
}

/// A text of a table with names of [`Words`] in braces: `the plug has no {earth} pin`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Phrase(&'static str);

impl Phrase {
    /// A phrase that is written in the program.
    pub const fn new(text: &'static str) -> Self {
        Self(text)
    }

    /// The text in the words of a practice.
    pub fn said_in(self, words: &Words) -> Cow<'static, str> {
        let mut pieces = self.0.split('{');
        let first = pieces.next().unwrap_or_default();
        if first.len() == self.0.len() {
            return first.into();
        }
        let filled = pieces.map(|piece| {
            let known = piece.split_once('}');
            let known = known.and_then(|(name, rest)| Some((words.named(name)?, rest)));
            known.map_or_else(
                || format!("{{{piece}"),
                |(word, rest)| [word, rest].concat(),
            )
        });
        std::iter::once(first.to_owned())
            .chain(filled)
            .collect::<String>()
            .into()
    }
}

impl<'de> Deserialize<'de> for Phrase {
    /// A row's phrase lives as long as the tables, which is for ever.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        match unknown_name(&text) {
            None => Ok(Self(kept(text))),
            Some(name) => Err(serde::de::Error::custom(format!("no word is named {name}"))),
        }
    }
}

/// What stands in braces and names no word.
fn unknown_name(text: &str) -> Option<&str> {
    let names = text.split('{').skip(1);
    let mut names = names.map(|piece| piece.split_once('}').map_or(piece, |(name, _)| name));
    names.find(|name| IEC.named(name).is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRACTICES: [Option<Practice>; 3] = [Some(Practice::Iec), Some(Practice::Nec), None];

    /// All words of a practice; a new field does not compile until it stands here.
    fn all(words: &Words) -> [&'static str; 11] {
        let &Words {
            earth,
            an_earth,
            socket,
            double,
            casing,
            protective_conductor,
            a_protective_conductor,
            standing_current,
            residual_device,
            residual_rating,
            electrode,
        } = words;
        [
            earth,
            an_earth,
            socket,
            double,
            casing,
            protective_conductor,
            a_protective_conductor,
            standing_current,
            residual_device,
            residual_rating,
            electrode,
        ]
    }

    #[test]
    fn every_word_differs_and_where_no_practice_is_known_it_is_that_of_the_iec() {
        let [iec, nec, none] = PRACTICES.map(Words::of).map(all);
        assert!(iec.iter().zip(nec).all(|(iec, nec)| *iec != nec));
        assert_eq!(iec, none);
    }

    #[test]
    fn articles_suit_their_words() {
        for words in PRACTICES.map(Words::of) {
            let with_article = |word: &str| match word.starts_with(['a', 'e', 'i', 'o', 'u']) {
                true => format!("an {word}"),
                false => format!("a {word}"),
            };
            assert_eq!(words.an_earth, with_article(words.earth));
            let conductor = words.protective_conductor;
            assert_eq!(words.a_protective_conductor, with_article(conductor));
            // Sentences write these with the article of both.
            for word in [words.socket, words.double, words.residual_device] {
                assert_eq!(with_article(word), format!("a {word}"));
            }
        }
    }

    #[test]
    fn a_device_that_guards_people_is_a_gfci_under_the_nec_alone() {
        let [iec, nec, _] = PRACTICES.map(Words::of);
        assert_eq!(nec.residual_device_of(amperes(0.005)), "GFCI");
        assert_eq!(nec.residual_device_of(amperes(0.006)), "GFCI");
        assert_eq!(nec.residual_device_of(amperes(0.03)), "ground-fault device");
        assert_eq!(
            iec.residual_device_of(amperes(0.006)),
            "residual current device"
        );
    }

    #[test]
    fn a_phrase_is_said_in_the_words_of_the_practice() {
        let phrase = Phrase::new("{an_earth} fault: the {socket} has no {earth} contact");
        let [iec, nec, _] = PRACTICES.map(|practice| phrase.said_in(Words::of(practice)));
        assert_eq!(iec, "an earth fault: the socket has no earth contact");
        assert_eq!(nec, "a ground fault: the receptacle has no ground contact");
        let plain = Phrase::new("the shapes differ");
        assert_eq!(plain.said_in(&NEC), "the shapes differ");
    }

    #[test]
    fn a_phrase_of_a_table_names_words_only() {
        let read = |text: &str| serde_yaml::from_str::<Phrase>(text);
        assert!(read("'no {earth} pin'").is_ok());
        let refused = read("'no {soil} pin'").unwrap_err();
        assert!(refused.to_string().contains("no word is named soil"));
    }
}
