//! Names that are long beyond reading are cut where people read them.

use std::borrow::Cow;

/// Characters of a name that are shown.
const MOST: usize = 200;
/// Characters of a message: none that we write is a quarter as long, whatever honest names are in it.
const MOST_OF_A_MESSAGE: usize = 2_000;

/// What stands for the rest.
const REST: char = '…';

/// A name of 200 characters at most: the start of a longer one, and `…`.
pub fn short(name: &str) -> Cow<'_, str> {
    cut(name, MOST)
}

/// A text whose names may be long: every word of more than 200 characters is cut.
pub fn brief(text: &str) -> Cow<'_, str> {
    let is_long = |text: &str| is_longer(text, MOST);
    if !is_long(text) || !text.split(char::is_whitespace).any(is_long) {
        return Cow::Borrowed(text);
    }
    let mut brief = String::with_capacity(text.len().min(8 * MOST));
    for word in text.split_inclusive(char::is_whitespace) {
        let bare = word.trim_end_matches(char::is_whitespace);
        brief.push_str(&short(bare));
        brief.push_str(&word[bare.len()..]);
    }
    Cow::Owned(brief)
}

/// A message in which names may be long, and have blanks in them: its long words are cut, and so is the
/// whole where it goes on without end.
pub fn message(text: &str) -> Cow<'_, str> {
    match brief(text) {
        Cow::Borrowed(text) => cut(text, MOST_OF_A_MESSAGE),
        Cow::Owned(text) => Cow::Owned(cut(&text, MOST_OF_A_MESSAGE).into_owned()),
    }
}

fn is_longer(text: &str, most: usize) -> bool {
    text.len() > most && text.chars().nth(most).is_some()
}

fn cut(text: &str, most: usize) -> Cow<'_, str> {
    match is_longer(text, most) {
        true => Cow::Owned(text.chars().take(most - 1).chain([REST]).collect()),
        false => Cow::Borrowed(text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_of_two_hundred_characters_stays_and_a_longer_one_is_cut() {
        let name = "é".repeat(200);
        assert_eq!(short(&name), name);
        let longer = format!("{name}x");
        assert_eq!(short(&longer), format!("{}…", "é".repeat(199)));
        assert_eq!(short(&short(&longer)), short(&longer));
    }

    #[test]
    fn a_message_keeps_all_but_its_long_words() {
        let (long, cut) = ("x".repeat(300), format!("{}…", "x".repeat(199)));
        let told = format!("cord {long} and\n{long}");
        assert_eq!(brief(&told), format!("cord {cut} and\n{cut}"));
        let words = "word ".repeat(300);
        assert_eq!(
            (brief(&words), message(&words)),
            (words.as_str().into(), words.as_str().into())
        );
    }

    #[test]
    fn a_message_without_end_is_cut() {
        let words = "é ".repeat(3_000);
        let message = message(&words);
        assert_eq!(message.chars().count(), 2_000);
        assert!(message.ends_with("é…"));
    }
}
