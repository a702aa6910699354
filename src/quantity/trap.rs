//! Text that means something else to YAML, or to the eye, than to the one who typed it.

use super::misread::{Misread, quote};
use super::number;

/// Whether a text can be a trap at all: most are digits, a blank and a unit, and need no second look.
pub(super) fn may_hide(text: &str) -> bool {
    let digits = text
        .bytes()
        .take_while(|byte| byte.is_ascii_digit() || *byte == b'.')
        .count();
    let rest = &text.as_bytes()[digits..];
    digits == 0 || rest.first() != Some(&b' ') || rest.contains(&b':')
}

/// Says what happened where `text` is one of YAML's traps; `None` where it is not.
///
/// `what` and `example` are those of the quantity wanted.
pub(super) fn look(text: &str, what: &str, example: &str) -> Option<Misread> {
    let bare = text.trim();
    let (headline, advice) = match bare.to_ascii_lowercase().as_str() {
        "" | "~" | "null" => (
            format!("{what} is missing"),
            format!("Nothing is written here. Write {what} with its unit, such as {example}."),
        ),
        "yes" | "no" | "on" | "off" | "true" | "false" | "y" | "n" => (
            format!("{} is no {}", quote(bare), noun(what)),
            format!(
                "YAML readers take this word for true or false. Write {what} with its unit, such as {example}."
            ),
        ),
        _ => look_at_number(bare, what, example)?,
    };
    Some(Misread::of_all(text, headline, advice))
}

/// Traps that look like numbers.
fn look_at_number(bare: &str, what: &str, example: &str) -> Option<(String, String)> {
    let shown = quote(bare);
    let such_as = format!("Write {what} with its unit, such as {example}.");
    let unsigned = bare.trim_start_matches(['+', '-', '−']);
    let lower = unsigned.to_ascii_lowercase();
    if ["inf", ".inf", "infinity", "infinite", "∞"]
        .iter()
        .any(|word| begins_with_word(&lower, word))
    {
        let advice = format!(
            "A rating or a load always has an end. {such_as} Leave it out if it is not known."
        );
        return Some((
            format!("{shown} is without end, so it is no {}", noun(what)),
            advice,
        ));
    }
    if ["nan", ".nan"]
        .iter()
        .any(|word| begins_with_word(&lower, word))
    {
        let advice = format!("{such_as} Leave it out if it is not known.");
        return Some((format!("{shown} is not a number"), advice));
    }
    if lower.starts_with("0x") || lower.starts_with("0o") || lower.starts_with("0b") {
        return Some((format!("{shown} is not written in tens"), such_as));
    }
    let dated = |marks| unsigned.matches(marks).count() == 2 && digits_and(unsigned, marks);
    if dated('-') && unsigned.len() == 10 {
        return Some((format!("{shown} is a date, no {}", noun(what)), such_as));
    }
    if digits_and(unsigned, ':') {
        return Some((
            format!(
                "{shown} is a time of day or a number in sixties, no {}",
                noun(what)
            ),
            format!(
                "Some YAML readers turn it into one number ({}). {such_as}",
                sixties(unsigned)
            ),
        ));
    }
    None
}

/// Whether the text begins with the word, and not only with its letters.
fn begins_with_word(text: &str, word: &str) -> bool {
    text.strip_prefix(word)
        .is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
}

/// Whether the text is digits in two or more groups with `mark` between them.
fn digits_and(text: &str, mark: char) -> bool {
    text.contains(mark)
        && text
            .split(mark)
            .all(|group| !group.is_empty() && group.bytes().all(|b| b.is_ascii_digit()))
}

/// The number that YAML 1.1 makes of `12:30`: 12 × 60 + 30.
fn sixties(text: &str) -> f64 {
    text.split(':')
        .filter_map(|group| group.parse::<f64>().ok())
        .fold(0.0, |sum, group| sum * 60.0 + group)
}

/// What YAML readers make of a number that was left without its unit, where that is not what stands there.
pub(super) fn reshaped(number: &str) -> Option<String> {
    let digits_only = number.bytes().all(|b| b.is_ascii_digit());
    if digits_only && number.len() > 1 && number.starts_with('0') {
        let octal = i64::from_str_radix(number, 8).ok()?;
        return Some(format!(
            "Some YAML readers count a number that begins with 0 in eights and read {octal}."
        ));
    }
    if number.contains('.') && number.ends_with('0') && number::parse(number).is_ok() {
        let shortened = number.trim_end_matches('0').trim_end_matches('.');
        return Some(format!(
            "YAML readers drop the last zero and read {shortened}."
        ));
    }
    None
}

/// What other readers of YAML make of a name written without quotes, where that is not its text:
/// `NO` is false to some (YAML 1.1), and `1.10`, `012` and `12:30` are numbers.
pub fn taken_for(text: &str) -> Option<String> {
    // Nearly all names begin otherwise.
    let first = text.bytes().next()?.to_ascii_lowercase();
    if !first.is_ascii_digit() && !b"+-yotnf".contains(&first) {
        return None;
    }
    let is_one_of = |words: [&str; 3]| words.iter().any(|word| text.eq_ignore_ascii_case(word));
    if is_one_of(["yes", "on", "true"]) {
        return Some("true".into());
    }
    if is_one_of(["no", "off", "false"]) {
        return Some("false".into());
    }
    let unsigned = text.strip_prefix(['+', '-']).unwrap_or(text);
    if !unsigned.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    if digits_and(unsigned, ':') {
        return Some(format!("the number {}", sixties(unsigned)));
    }
    let digits_only = unsigned.bytes().all(|b| b.is_ascii_digit());
    if digits_only && unsigned.len() > 1 && unsigned.starts_with('0') {
        let octal = i64::from_str_radix(unsigned, 8).ok();
        let decimal = unsigned.trim_start_matches('0');
        let decimal = if decimal.is_empty() { "0" } else { decimal };
        return Some(octal.map_or_else(
            || format!("the number {decimal}"),
            |octal| format!("the number {octal} or {decimal}"),
        ));
    }
    let loses_zero = unsigned.ends_with('0') && unsigned.matches('.').count() == 1;
    let is_decimal = loses_zero && digits_and(unsigned, '.');
    is_decimal.then(|| {
        let shortened = unsigned.trim_end_matches('0').trim_end_matches('.');
        format!("the number {shortened}")
    })
}

/// `a current` without its article.
pub(super) fn noun(what: &str) -> &str {
    what.split_once(' ').map_or(what, |(_, noun)| noun)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn traps_are_told_apart_from_quantities() {
        for text in [
            "",
            "~",
            "NO",
            "on",
            "12:30",
            "0x1F",
            ".inf A",
            "-inf",
            "NaN",
            "2027-03-31",
        ] {
            assert!(look(text, "a current", "10 A").is_some(), "{text}");
        }
        for text in [
            "10 A",
            "1.10",
            "012",
            "100-240 V",
            "information",
            "nano",
            "10",
        ] {
            assert!(look(text, "a current", "10 A").is_none(), "{text}");
        }
    }

    #[test]
    fn the_number_that_a_reader_would_make_is_said() {
        let misread = look("12:30", "a current", "10 A").unwrap();
        assert!(misread.advice.contains("(750)"), "{}", misread.advice);
        assert!(reshaped("012").unwrap().contains("read 10."));
        assert!(reshaped("1.10").unwrap().contains("read 1.1."));
        assert_eq!(reshaped("1.5"), None);
        assert_eq!(reshaped("089"), None);
    }

    #[test]
    fn names_that_others_misread_are_told_from_those_that_all_read_alike() {
        for (text, expected) in [
            ("NO", "false"),
            ("on", "true"),
            ("1.10", "the number 1.1"),
            ("012", "the number 10 or 12"),
            ("089", "the number 89"),
            ("12:30", "the number 750"),
        ] {
            assert_eq!(taken_for(text).as_deref(), Some(expected), "{text}");
        }
        for text in [
            "W-0412", "12", "0", "1.1", "1.1.0", "N", "north", "ph-1-a/3", "",
        ] {
            assert_eq!(taken_for(text), None, "{text}");
        }
    }
}
