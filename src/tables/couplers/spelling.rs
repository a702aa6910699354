//! The spelling of names: what may differ without a difference in meaning.

/// Longer texts are no coupler's name; they are cut, so that a hostile file costs little.
pub(super) const LONGEST: usize = 64;

/// Capitals, no blanks, one kind of dash.
pub(super) fn normal(text: &str) -> String {
    let letters = text.chars().filter(|letter| !letter.is_whitespace());
    letters.take(LONGEST).map(plain).collect()
}

/// Capitals, and of blanks and dashes only those that keep two numbers apart: `NEMA_5_15P` and
/// `NEMA 5-15P` are one. A slash stays, for it may be part of a standard's name.
///
/// Empty where the text is longer than any name, or begins or ends with a dash.
pub(super) fn folded(text: &str) -> String {
    let text = text.trim();
    if text.chars().nth(LONGEST).is_some() {
        return String::new();
    }
    let is_joint = |letter: char| letter == '-' || letter.is_whitespace();
    let letters: Vec<char> = text.chars().map(plain).collect();
    if letters.first() == Some(&'-') || letters.last() == Some(&'-') {
        return String::new();
    }
    let mut folded = String::new();
    let mut was_joint = false;
    for letter in letters {
        if is_joint(letter) {
            was_joint = true;
            continue;
        }
        if was_joint && letter.is_ascii_digit() && folded.ends_with(|c: char| c.is_ascii_digit()) {
            folded.push('-');
        }
        was_joint = false;
        folded.push(letter);
    }
    folded
}

/// A slash between two numbers of a name may be written as a dash: `CEE 7-7`. Both forms are folded.
pub(super) fn folded_with_dash(folded: &str) -> String {
    let letters: Vec<char> = folded.chars().collect();
    let is_digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
    let slash = |(at, &letter): (usize, &char)| match letter {
        '/' if at > 0 && is_digit(at - 1) && is_digit(at + 1) => '-',
        other => other,
    };
    letters.iter().enumerate().map(slash).collect()
}

/// The figures of a text in their order.
pub(super) fn figures(text: &str) -> impl Iterator<Item = char> + '_ {
    text.chars().filter(char::is_ascii_digit)
}

/// What stands behind a word that a folded text begins with: neither its letters nor its figures go on there.
pub(super) fn behind<'t>(folded: &'t str, word: &str) -> Option<&'t str> {
    let rest = folded.strip_prefix(word)?;
    let is_same_kind = |next: char| match word.chars().last() {
        Some(last) if last.is_ascii_digit() => next.is_ascii_digit(),
        Some(last) if last.is_ascii_alphabetic() => next.is_ascii_alphabetic(),
        _ => false,
    };
    (!rest.starts_with(is_same_kind)).then_some(rest)
}

/// A capital, and one kind of dash. Only plain letters have capitals here: that of `ß` would be two others.
fn plain(letter: char) -> char {
    match letter {
        '\u{2010}'..='\u{2015}' | '\u{2212}' | '_' => '-',
        other => other.to_ascii_uppercase(),
    }
}
