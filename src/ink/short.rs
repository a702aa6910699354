//! Names that are long beyond reading are cut where people read them.

use std::borrow::Cow;

/// Characters of a name that are shown.
const MOST: usize = 200;

/// What stands for the rest.
const REST: char = '…';

/// A name of 200 characters at most: the start of a longer one, and `…`.
pub fn short(name: &str) -> Cow<'_, str> {
    match is_long(name) {
        true => Cow::Owned(cut(name)),
        false => Cow::Borrowed(name),
    }
}

/// A message whose names may be long: every word of more than 200 characters is cut.
pub fn brief(text: &str) -> Cow<'_, str> {
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

fn is_long(text: &str) -> bool {
    text.len() > MOST && text.chars().nth(MOST).is_some()
}

fn cut(name: &str) -> String {
    name.chars().take(MOST - 1).chain([REST]).collect()
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
        assert_eq!(brief(&words), words);
    }
}
