//! The number of a quantity, and the ways of writing one that the file format does not know.

/// A text taken apart into a number and what follows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Split<'t> {
    /// From the first sign or digit to the last digit.
    pub number: &'t str,
    /// The rest, without the blanks around it.
    pub unit: &'t str,
}

/// What is wrong with a number. The strings are the right spellings.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum NumberFault {
    /// No number at all: `1.2.3`.
    Malformed,
    /// Beyond any number that can be held: `1e999`.
    TooLarge,
    /// `1,5`
    DecimalComma(String),
    /// `1 000` or `1,000.5`
    Thousands(String),
    /// `1,500`: one and a half, or fifteen hundred.
    Ambiguous(String, String),
}

/// Whether a character can stand between the digits of a number.
fn separates(c: char) -> bool {
    matches!(c, '.' | ',' | '_' | '\'' | '’') || blank(c)
}

/// The blanks that are used to group digits.
fn blank(c: char) -> bool {
    matches!(c, ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}')
}

/// Whether a character is a minus sign; typed text often has a dash for it.
fn minus(c: char) -> bool {
    matches!(c, '-' | '−' | '–')
}

/// The number and the unit of a text that is plain digits, perhaps with a point among them, one
/// blank and the unit; `None` for any other, which may still be read.
pub(super) fn plain(text: &str) -> Option<(f64, &str)> {
    let (number, unit) = text.split_at_checked(text.bytes().position(|byte| byte == b' ')?)?;
    let is_plain = number
        .bytes()
        .all(|byte| byte.is_ascii_digit() || byte == b'.');
    let ends = [number.bytes().next()?, number.bytes().next_back()?];
    if !is_plain || !ends.iter().all(u8::is_ascii_digit) {
        return None;
    }
    Some((number.parse().ok()?, &unit[1..]))
}

/// Takes the number off the front of `text`; `None` where it begins with something else.
pub(super) fn split(text: &str) -> Option<Split<'_>> {
    let text = text.trim();
    let end = number_length(text)?;
    Some(Split {
        number: &text[..end],
        unit: text[end..].trim(),
    })
}

/// How many bytes at the front of `text` are a number.
fn number_length(text: &str) -> Option<usize> {
    let unsigned = text.trim_start_matches(|c| minus(c) || c == '+');
    let sign = text.len() - unsigned.len();
    if text.chars().take_while(|&c| minus(c) || c == '+').count() > 1 {
        return None;
    }
    let mut digits = 0;
    let mut end = 0;
    let mut characters = unsigned.char_indices().peekable();
    while let Some((at, c)) = characters.next() {
        let next_is_digit = characters
            .peek()
            .is_some_and(|(_, next)| next.is_ascii_digit());
        if c.is_ascii_digit() {
            digits += 1;
        } else if !belongs(c, digits > 0, next_is_digit) {
            break;
        }
        end = at + c.len_utf8();
    }
    (digits > 0).then(|| sign + end + exponent_length(&unsigned[end..]))
}

/// Whether a mark is part of the number, by what stands before and after it.
fn belongs(mark: char, after_digit: bool, before_digit: bool) -> bool {
    match mark {
        '.' => after_digit || before_digit,
        _ if blank(mark) => after_digit && before_digit,
        _ => separates(mark) && before_digit,
    }
}

/// How many bytes at the front of `rest` are an exponent, as in `1e3`.
fn exponent_length(rest: &str) -> usize {
    let Some(power) = rest.strip_prefix(['e', 'E']) else {
        return 0;
    };
    let unsigned = power.strip_prefix(['+', '-']).unwrap_or(power);
    let digits = unsigned.len()
        - unsigned
            .trim_start_matches(|c: char| c.is_ascii_digit())
            .len();
    if digits == 0 {
        return 0;
    }
    rest.len() - unsigned.len() + digits
}

/// The value of a number.
pub(super) fn parse(number: &str) -> Result<f64, NumberFault> {
    let negative = number.starts_with(minus);
    let unsigned = number.trim_start_matches(|c| minus(c) || c == '+');
    let mark = unsigned.find(['e', 'E']).unwrap_or(unsigned.len());
    let (mantissa, exponent) = unsigned.split_at(mark);
    if mantissa.chars().any(|c| separates(c) && c != '.') || mantissa.matches('.').count() > 1 {
        let fault = grouped(mantissa);
        return Err(if exponent.is_empty() {
            signed(fault, negative)
        } else {
            NumberFault::Malformed
        });
    }
    let value: f64 = unsigned.parse().map_err(|_| NumberFault::Malformed)?;
    if !value.is_finite() {
        return Err(NumberFault::TooLarge);
    }
    Ok(if negative { -value } else { value })
}

/// What was meant by digits with more between them than one point.
fn grouped(mantissa: &str) -> NumberFault {
    let marks: Vec<char> = mantissa.chars().filter(|c| !c.is_ascii_digit()).collect();
    let groups: Vec<&str> = mantissa.split(separates).collect();
    let Some((&last_mark, earlier)) = marks.split_last() else {
        return NumberFault::Malformed;
    };
    if groups.iter().any(|group| group.is_empty()) {
        return NumberFault::Malformed;
    }
    if let ([whole, fraction], ',') = (groups.as_slice(), last_mark) {
        let decimal = format!("{whole}.{fraction}");
        return if in_thousands(&groups) {
            NumberFault::Ambiguous(decimal, groups.concat())
        } else {
            NumberFault::DecimalComma(decimal)
        };
    }
    if earlier.iter().all(|&mark| mark == last_mark) && in_thousands(&groups) {
        return NumberFault::Thousands(groups.concat());
    }
    match groups.split_last() {
        Some((fraction, whole))
            if matches!(last_mark, '.' | ',')
                && earlier
                    .iter()
                    .all(|&mark| mark == earlier[0] && mark != last_mark)
                && in_thousands(whole) =>
        {
            NumberFault::Thousands(format!("{}.{fraction}", whole.concat()))
        }
        _ => NumberFault::Malformed,
    }
}

/// The whole number that `1.500` is to those who group digits by points; `None` where it cannot be one.
pub(super) fn grouped_by_point(number: &str) -> Option<String> {
    let groups: Vec<&str> = number.split('.').collect();
    let is_digits = |group: &&str| group.bytes().all(|byte| byte.is_ascii_digit());
    let is_number = groups.len() == 2 && groups.iter().all(is_digits) && !groups[0].is_empty();
    (is_number && in_thousands(&groups)).then(|| groups.concat())
}

/// `1.500` as decimals that nobody takes for thousands: `1.5`; `1.2370` for `1.237`.
pub(super) fn as_decimals(number: &str) -> String {
    let short = number.trim_end_matches('0');
    match short.len() {
        all if all == number.len() => format!("{short}0"),
        _ if short.ends_with('.') => format!("{short}0"),
        _ => short.to_owned(),
    }
}

/// Whether groups of digits are those of a number written in thousands: `1`, `000`.
fn in_thousands(groups: &[&str]) -> bool {
    match groups.split_first() {
        Some((first, rest)) => {
            first.len() <= 3 && !first.starts_with('0') && rest.iter().all(|group| group.len() == 3)
        }
        None => false,
    }
}

/// The fault with the sign put back before its corrections.
fn signed(fault: NumberFault, negative: bool) -> NumberFault {
    let sign = |text: String| if negative { format!("-{text}") } else { text };
    match fault {
        NumberFault::DecimalComma(text) => NumberFault::DecimalComma(sign(text)),
        NumberFault::Thousands(text) => NumberFault::Thousands(sign(text)),
        NumberFault::Ambiguous(one, other) => NumberFault::Ambiguous(sign(one), sign(other)),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_quantities_are_read_as_all_others_are() {
        for text in ["10 A", "0.25 mm²", "012 A", "1.50 m", "230 V"] {
            let (number, unit) = plain(text).unwrap();
            let split = split(text).unwrap();
            assert_eq!(
                (parse(split.number), split.unit),
                (Ok(number), unit),
                "{text}"
            );
        }
        for text in [
            "", " A", "10A", "1. A", ".5 A", "-1 A", "1e3 A", "1,5 A", "1.2.3 A",
        ] {
            assert_eq!(plain(text), None, "{text}");
        }
        // The blank of a group of thousands is no end of the number: no unit begins with a digit.
        assert_eq!(plain("1 000 V"), Some((1.0, "000 V")));
    }

    #[test]
    fn only_three_digits_after_one_point_may_be_thousands() {
        for (number, whole) in [
            ("1.500", "1500"),
            ("12.000", "12000"),
            ("999.999", "999999"),
        ] {
            assert_eq!(grouped_by_point(number).as_deref(), Some(whole));
        }
        for number in [
            "1500",
            "1.5",
            "1.50",
            "1.5000",
            "0.500",
            "012.000",
            "1000.500",
            ".500",
            "1.000.000",
            "-1.500",
            "1.50e",
            "1,500",
        ] {
            assert_eq!(grouped_by_point(number), None, "{number}");
        }
    }

    #[test]
    fn numbers_end_where_the_unit_begins() {
        for (text, number, unit) in [
            ("10 A", "10", "A"),
            ("1.5mm²", "1.5", "mm²"),
            (" -20 °C ", "-20", "°C"),
            ("1e3 A", "1e3", "A"),
            ("1E-3A", "1E-3", "A"),
            ("1 000 V", "1 000", "V"),
            ("6 ft", "6", "ft"),
            ("5 e", "5", "e"),
            ("10. A", "10.", "A"),
            (".5 A", ".5", "A"),
            ("10, A", "10", ", A"),
        ] {
            assert_eq!(split(text), Some(Split { number, unit }), "{text}");
        }
        for text in ["", "A", "--5 A", "~10 A", ". A", "- A", "∞ A"] {
            assert_eq!(split(text), None, "{text}");
        }
    }

    #[test]
    fn faults_of_numbers_are_told_apart() {
        let comma = |text: &str| Err(NumberFault::DecimalComma(text.into()));
        let thousands = |text: &str| Err(NumberFault::Thousands(text.into()));
        for (number, expected) in [
            ("1.5", Ok(1.5)),
            ("−20", Ok(-20.0)),
            ("1e3", Ok(1000.0)),
            ("1.500", Ok(1.5)),
            ("012", Ok(12.0)),
            ("1,5", comma("1.5")),
            ("-1,5", comma("-1.5")),
            ("0,750", comma("0.750")),
            ("1 000", thousands("1000")),
            ("1'000", thousands("1000")),
            ("1,000,000", thousands("1000000")),
            ("1,000.5", thousands("1000.5")),
            ("1.000,5", thousands("1000.5")),
            (
                "1,500",
                Err(NumberFault::Ambiguous("1.500".into(), "1500".into())),
            ),
            ("1.2.3", Err(NumberFault::Malformed)),
            ("12 30", Err(NumberFault::Malformed)),
            ("1e999", Err(NumberFault::TooLarge)),
        ] {
            assert_eq!(parse(number), expected, "{number}");
        }
    }
}
