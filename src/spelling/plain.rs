//! Letters that only look like others, and characters that nobody sees.

use std::borrow::Cow;

/// The letters of our words, small, and what looks like them, small or large. Taken from the data
/// of Unicode Technical Standard #39 (`confusables.txt`), Greek and Cyrillic, single characters.
const LOOK_ALIKES: [(char, &str); 27] = [
    ('-', "\u{2010}\u{2011}\u{2012}\u{2013}\u{2212}\u{fe58}"),
    ('a', "\u{391}\u{3b1}\u{410}\u{430}"),
    ('b', "\u{392}\u{412}\u{42c}"),
    ('c', "\u{3f2}\u{3f9}\u{421}\u{441}"),
    ('d', "\u{501}"),
    ('e', "\u{395}\u{415}\u{435}\u{4bd}"),
    ('f', "\u{3dc}"),
    ('g', "\u{50c}"),
    ('h', "\u{397}\u{41d}\u{4bb}"),
    ('i', "\u{37a}\u{399}\u{3b9}\u{406}\u{456}\u{4cf}"),
    ('j', "\u{37f}\u{3f3}\u{408}\u{458}"),
    ('k', "\u{39a}\u{41a}"),
    ('l', "\u{4c0}"),
    ('m', "\u{39c}\u{3fa}\u{41c}"),
    ('n', "\u{39d}"),
    ('o', "\u{39f}\u{3bf}\u{3c3}\u{41e}\u{43e}"),
    ('p', "\u{3a1}\u{3c1}\u{3f1}\u{420}\u{440}"),
    ('q', "\u{51b}"),
    ('r', "\u{433}"),
    ('s', "\u{405}\u{455}"),
    ('t', "\u{3a4}\u{422}"),
    ('u', "\u{3c5}"),
    ('v', "\u{3bd}\u{474}\u{475}"),
    ('w', "\u{461}\u{51c}\u{51d}"),
    ('x', "\u{3a7}\u{425}\u{445}"),
    ('y', "\u{3a5}\u{3b3}\u{3d2}\u{423}\u{443}\u{4ae}\u{4af}"),
    ('z', "\u{396}"),
];

/// The ASCII that a character looks like, small where it is a letter.
fn looks_like(c: char) -> Option<char> {
    if let '\u{ff01}'..='\u{ff5e}' = c {
        // The full-width forms stand in the order of ASCII.
        let narrow = char::from_u32(u32::from(c) - 0xfee0)?;
        return Some(narrow.to_ascii_lowercase());
    }
    let alike = LOOK_ALIKES.iter().find(|(_, all)| all.contains(c));
    alike.map(|(plain, _)| *plain)
}

/// Whether a character takes no place of its own on a screen.
fn is_invisible(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2064}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// `text` as a reader sees it, in small letters: look-alikes become what they look like, and what
/// is invisible goes, as do blanks at the ends.
pub(super) fn plain(text: &str) -> Cow<'_, str> {
    let is_plain = |byte: u8| byte.is_ascii_graphic() && !byte.is_ascii_uppercase();
    if text.bytes().all(is_plain) {
        return Cow::Borrowed(text);
    }
    let seen = text.chars().filter(|&c| !is_invisible(c));
    let small: String = seen
        .flat_map(|c| looks_like(c).unwrap_or(c).to_lowercase())
        .collect();
    Cow::Owned(small.trim().to_owned())
}

/// What in `text` deceives the eye, for somebody who cannot see it; nothing where all is ASCII.
pub fn deception(text: &str) -> Option<String> {
    let code = |c: char| format!("U+{:04X}", u32::from(c));
    let mut beyond = text.chars().filter(|c| !c.is_ascii());
    beyond.find_map(|c| match looks_like(c) {
        Some(plain) => Some(format!("`{c}` ({}) only looks like `{plain}`", code(c))),
        None if is_invisible(c) => Some(format!("{} in it cannot be seen", code(c))),
        None if c.is_whitespace() => Some(format!("the blank {} is part of it", code(c))),
        None => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_looks_the_same_reads_the_same() {
        for text in [
            "Cords",
            "\u{441}ords",
            "c\u{43e}r\u{501}s",
            "\u{ff43}\u{ff4f}\u{ff52}\u{ff44}\u{ff53}",
            "\u{421}\u{41e}RD\u{405}",
            "\u{3f2}\u{3bf}rds",
            "co\u{200b}rds",
            "\u{feff}cords",
            " cords\u{a0}",
        ] {
            assert_eq!(plain(text), "cords", "{text:?}");
        }
        assert_eq!(plain("cord\u{2013}types"), "cord-types");
        assert_eq!(plain("Größe 2"), "größe 2");
    }

    #[test]
    fn plain_words_are_not_copied_and_no_letter_stands_twice_in_the_table() {
        assert!(matches!(plain("cord-types/2"), Cow::Borrowed(_)));
        let mut all: Vec<char> = LOOK_ALIKES
            .iter()
            .flat_map(|(_, all)| all.chars())
            .collect();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
        assert!(all.iter().all(|c| !c.is_ascii()));
    }

    #[test]
    fn what_deceives_the_eye_is_named() {
        let said = |text| deception(text).unwrap_or_default();
        assert_eq!(
            said("\u{441}ords"),
            "`\u{441}` (U+0441) only looks like `c`"
        );
        assert_eq!(said("cords\u{200b}"), "U+200B in it cannot be seen");
        assert_eq!(said("cords\u{a0}"), "the blank U+00A0 is part of it");
        assert_eq!(deception("Cords "), None);
        assert_eq!(deception("größe"), None);
    }
}
